import { motionsOfLine } from '../../engine/editor-service.ts'
import type { ServerContext } from '../server-context.ts'

/** Lattice points of the surface that is drawn: some hundred thousand triangles. */
const drawnPoints = 4_000_000

/** The stock as it stands after a line, for the viewer to draw. */
export function registerStockAt({ answer, readingOf, buffers }: ServerContext): void {
  answer('toolwake/stockAt', async ({ uri, line }) => {
    const { program, scene, view, serial, stock } = await readingOf(uri), motions = motionsOfLine(view.motions, line)
    // After a line that moves nothing the stock stands as the lines before have left it.
    const before = motions.length > 0 ? (motions.at(-1) ?? 0) + 1 : program.toolpath.line.filter(each => each < line).length
    const triangles = await scene.stockSurface(program, before, drawnPoints, stock !== undefined)
    if (triangles === undefined) return {}
    const key = `stock/${serial}/${before}`
    buffers.keep(uri, { [key]: triangles }, 'stock')
    return { triangles: triangles.length / 9, positions: key }
  })
}
