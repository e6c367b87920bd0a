import type { ServerContext } from '../server-context.ts'

/** Which setup sheet a program is checked with. */
export function registerSetupSheet({ answer, readingOf }: ServerContext): void {
  answer('toolwake/setupSheet', async ({ uri }) => ({ path: (await readingOf(uri)).scene.sheetPath }))
}
