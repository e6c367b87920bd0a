import type { Diagnostic } from '../../server/lsp/protocol.ts'
import { LanguageServerUnderTest, type PublishedFindings } from '../harness/language-server.ts'

export interface SoakedProgram {
  readonly uri: string
  readonly original: string
  text: string
  version: number
}

/** How long a check to the end may take, ms. */
const patience = 300_000

/** One sentence for each program whose findings differ from those of a server that has just been started. */
export async function compareWithFresh(server: LanguageServerUnderTest, path: string, folder: string, programs: readonly SoakedProgram[]): Promise<string[]> {
  const fresh = new LanguageServerUnderTest(path)
  try {
    await fresh.initialize({ folder })
    const differences: string[] = []
    for (const { uri, text, version } of programs) {
      await fresh.open(uri, text, version)
      const isDone = () => fresh.statuses.some(one => one.uri === uri && (one.phase === 'done' || one.phase === 'failed'))
      await fresh.until(`the end of checking ${uri}`, isDone, patience)
      const wanted = keyOf(await fresh.findings(uri, version))
      try {
        // The last list may still be on its way, so it is waited for rather than looked at once.
        await server.findings(uri, version, list => keyOf(list) === wanted, patience)
      } catch {
        const last = server.published.filter(one => one.uri === uri).at(-1)
        differences.push(`${uri}, version ${last?.version} of ${version}:\n${keyOf(last?.diagnostics ?? [])}\na fresh server finds\n${wanted}`)
      }
    }
    return differences
  } finally {
    fresh.kill()
  }
}

/** Keeps of each document the last list alone. */
export function lastVersions(published: PublishedFindings[]): void {
  const last = new Map(published.map(one => [one.uri, one]))
  published.splice(0, published.length, ...last.values())
}

function keyOf(list: readonly Diagnostic[]): string {
  return list.map(({ range, code, severity, message }) => JSON.stringify([range.start, range.end, code, severity, message])).sort().join('\n')
}
