import { availableParallelism } from 'node:os'
import type { Finding } from '../../../shared/finding.ts'
import { compareFiles, type CompareResult } from '../../edge/compare-job.ts'
import { readProgramFile } from '../../edge/read-inputs.ts'
import { chooseForBoth, type SetupChoice } from '../../edge/setup-choice.ts'
import { cautions, comparisonSections, lineOf, notLookedAt, othersWouldServe, verdictOf } from '../../engine/service.ts'
import { pathOf } from '../document-path.ts'
import type { ServerContext } from '../server-context.ts'

/** What an open program changes against another file: for the person who has both before them. */
export function registerCompare({ answer, documents, settings, scenes, outside, client, tell }: ServerContext): void {
  answer('toolwake/compare', async ({ uri, old }, token) => {
    const document = documents.get(uri), path = pathOf(uri)
    if (document === undefined || path === undefined) throw new Error('This program is not open in the editor, or it does not lie on this disk.')
    const earlier = await readProgramFile(old)
    if (earlier.file === undefined) throw new Error(earlier.failure ?? 'The other program cannot be read.')
    const chosen = await settings.of(uri), { threads, epsilon } = chosen
    const choice = chooseForBoth(old, path, scenes.named(path, chosen), client.roots)
    const result = await compareFiles({
      old: earlier.file,
      new: { path, text: document.getText() },
      ...choice,
      mayRead: outside.mayRead,
      threads: threads > 0 ? threads : Math.max(1, availableParallelism() - 1),
      epsilon,
      cancellation: { cancelled: () => token.isCancellationRequested },
      onProgress: share => tell('toolwake/compareProgress', { uri, share }),
    })
    if (token.isCancellationRequested) throw new Error('The comparison was stopped.')
    return { markdown: comparisonPage(result, choice, nameOf(path), nameOf(old)) }
  })
}

/** The verdict, then what differs part by part, the findings and the cautions. */
function comparisonPage({ comparison, old, new: now }: CompareResult, { setupPath, otherSetups = [] }: SetupChoice, newName: string, oldName: string): string {
  const { findings } = comparison
  const fresh = [...findings.stateOf].filter(([finding, state]) => state === 'new' || findings.worse.has(finding)).map(([finding]) => finding)
  const inWords = (finding: Finding) => {
    const place = finding.file === undefined || finding.file === now.program.path ? `line ${lineOf(now.program.lineStarts, finding.span.start) + 1}` : nameOf(finding.file)
    const state = findings.worse.has(finding) ? 'graver' : 'new'
    return `- **${finding.waiver === undefined ? finding.level : 'accepted'} ${finding.rule}** (${state}), ${place}: ${escaped(finding.message)}`
  }
  return [
    `# ${escaped(newName)} compared with ${escaped(oldName)}`,
    '',
    setupPath === undefined ? 'Without a setup sheet: nothing was simulated.' : `Both with the setup sheet ${escaped(nameOf(setupPath))}.${escaped(othersWouldServe(otherSetups.map(nameOf)))}`,
    '',
    ...verdictOf(comparison).map(sentence => `**${escaped(sentence)}**  `),
    ...comparisonSections(comparison).flatMap(({ heading, lines }) => ['', `## ${heading}`, '', ...lines.map(line => `- ${escaped(line)}`)]),
    '', '## Findings', '',
    ...fresh.length === 0 ? ['None is new and none has become graver in what was checked.'] : fresh.map(inWords),
    ...findings.absent.map(({ rule, message }) => `- gone: **${rule}**: ${escaped(message)}`),
    '', '## Mind', '',
    escaped(notLookedAt({ isStockFollowed: [old, now].every(({ stock }) => stock !== undefined), isResultMeasured: [old, now].every(({ surface }) => surface !== undefined) }).join(' ')), '',
    escaped(cautions.join(' ')), '',
  ].join('\n')
}

function nameOf(path: string): string {
  return path.split(/[\\/]/).at(-1) ?? path
}

/** Text as text: a program's words must not come out as Markdown. */
function escaped(text: string): string {
  return text.replace(/[\\`*_{}[\]<>#|~]/g, character => `\\${character}`)
}
