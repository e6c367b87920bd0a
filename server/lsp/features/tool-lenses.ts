import { lensesOf } from '../../engine/editor-service.ts'
import { guardQuestion } from '../guard.ts'
import type { CodeLens } from '../protocol.ts'
import { rangeOfPlace } from '../program-texts.ts'
import type { ServerContext } from '../server-context.ts'

/** A line above each tool call: worst clearances, findings and time of its work. A click shows it. */
export function registerToolLenses({ connection, client, offer, log, settings, programs, readingOf }: ServerContext): void {
  offer(() => ({ codeLensProvider: { resolveProvider: false } }))
  connection.onCodeLens(guardQuestion<{ readonly textDocument: { readonly uri: string } }, CodeLens[]>('codeLens', log, [], async ({ textDocument: { uri } }) => {
    if (!programs.has(uri) || !(await settings.of(uri)).toolSummary) return []
    const reading = await readingOf(uri)
    return lensesOf(reading.view, reading.contact, reading.findings()).map(({ place, text }) => ({
      range: rangeOfPlace(place),
      command: { title: text, command: client.withCommands ? 'toolwake.showWake' : '', arguments: [] },
    }))
  }))
}
