import { draftSetup } from '../../engine/service.ts'
import { pathOf } from '../document-path.ts'
import type { ServerContext } from '../server-context.ts'

/** Which setup sheet a program is checked with, and one to begin with where there is none. */
export function registerSetupSheet({ answer, readingOf, scenes }: ServerContext): void {
  answer('toolwake/setupSheet', async ({ uri }) => {
    const path = pathOf(uri)
    return { path: (await readingOf(uri)).scene.sheetPath, serving: path === undefined ? [] : scenes.serving(path) }
  })
  answer('toolwake/draftSetup', async ({ uri }) => {
    const { program, called } = await readingOf(uri), path = pathOf(uri)
    // The sheet lies beside the program; one that lies nowhere is named once it does.
    const name = path?.split(/[\\/]/).at(-1) ?? 'PROGRAM.nc'
    return draftSetup({ path: program.path, text: program.text }, name, called === undefined ? {} : { programs: number => called.find(number) })
  })
}
