// A folder to work in: a copy of the small workspace, so that a test may edit and save whatever it likes.
import { cpSync, mkdtempSync, realpathSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

export interface ScratchWorkspace {
  readonly folder: string
  /** Where the editor keeps its own files for this run. */
  readonly userFolder: string
  dispose(): void
}

export function makeScratchWorkspace(): ScratchWorkspace {
  const root = realpathSync(mkdtempSync(join(tmpdir(), 'tw-')))
  const folder = join(root, 'workspace')
  cpSync(fileURLToPath(new URL('./workspace', import.meta.url)), folder, { recursive: true })
  writeFileSync(join(folder, 'plate.stl'), box([-30, -30, -20], [30, 30, 0]))
  return {
    folder,
    userFolder: join(root, 'user'),
    dispose: () => rmSync(root, { recursive: true, force: true, maxRetries: 5 }),
  }
}

type Corner = readonly [number, number, number]

/** A closed box as a binary STL file: 80 bytes of header, a count, then 50 bytes a triangle. */
function box(low: Corner, high: Corner): Uint8Array {
  const triangles = faces(low, high)
  const bytes = new Uint8Array(84 + 50 * triangles.length)
  const view = new DataView(bytes.buffer)
  view.setUint32(80, triangles.length, true)
  triangles.forEach((corners, index) => {
    // The first twelve bytes hold the normal; zeros leave it to the order of the corners.
    corners.flat().forEach((value, place) => view.setFloat32(84 + 50 * index + 12 + 4 * place, value, true))
  })
  return bytes
}

/** Two triangles a face, counter-clockwise as seen from outside. */
function faces(low: Corner, high: Corner): (readonly Corner[])[] {
  const corner = (bits: number): Corner => [bits & 1 ? high[0] : low[0], bits & 2 ? high[1] : low[1], bits & 4 ? high[2] : low[2]]
  const quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
  return quads.flatMap(([a, b, c, d]) => [[corner(a), corner(b), corner(c)], [corner(a), corner(c), corner(d)]])
}
