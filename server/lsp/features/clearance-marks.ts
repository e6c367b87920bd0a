import { clearanceMarks } from '../../engine/editor-service.ts'
import type { ServerContext } from '../server-context.ts'

/** How the blocks of some lines stand against their limits, for the marks beside the text. */
export function registerClearanceMarks({ answer, readingOf }: ServerContext): void {
  answer('toolwake/clearanceMarks', async ({ uri, first, last }) => {
    const { version, view, limits, figures, notSearched } = await readingOf(uri)
    const known = limits === undefined || notSearched !== undefined ? [] : clearanceMarks(view, limits, figures, first, last)
    return { version, marks: known }
  })
}
