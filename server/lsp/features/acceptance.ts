import { acceptanceOf } from '../../engine/editor-service.ts'
import type { ServerContext } from '../server-context.ts'

/** The comment that accepts the findings of a rule on a line, with the figure that was seen. */
export function registerAcceptance({ answer, readingOf }: ServerContext): void {
  answer('toolwake/acceptance', async ({ uri, rule, line, reason }) => {
    const reading = await readingOf(uri)
    const finding = reading.findings().find(one =>
      one.rule === rule && one.file === undefined && reading.document.positionAt(one.span.start).line === line)
    const { text } = acceptanceOf(reading.program.text, line, rule, reason, finding)
    return { version: reading.version, line, character: 0, text }
  })
}
