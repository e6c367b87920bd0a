import { comparisonSections, othersWouldServe, verdictOf, type ProgramComparison } from '../engine/service.ts'
import type { CheckReport } from './check-report.ts'
import { closingWords } from './closing-words.ts'
import { printable } from './code-frame.ts'
import { findingLines, paintFor } from './render-text.ts'

/** The comparison for a reader: the verdict first, then what differs part by part, the findings, and what was and was not checked. */
export function renderComparison(report: CheckReport, comparison: ProgramComparison, words: { readonly oldName: string, readonly setup: string | undefined, readonly otherSetups: readonly string[] }, colour: boolean): string {
  const paint = paintFor(colour)
  const [program] = report.programs
  const lines = [
    paint('strong', printable(`${program?.name ?? ''} compared with ${words.oldName}`)),
    printable(words.setup === undefined ? 'Without a setup sheet: nothing was simulated, places are those of a machine that is only assumed.' : `Both with the setup sheet ${words.setup}.${othersWouldServe(words.otherSetups)}`),
    '',
    ...verdictOf(comparison).map(sentence => paint('strong', sentence)),
    '',
  ]
  for (const { heading, lines: entries } of comparisonSections(comparison)) {
    lines.push(paint('strong', `${heading}:`), ...entries.map(entry => `  ${printable(entry)}`), '')
  }
  if (program !== undefined) {
    lines.push(paint('strong', 'Findings of the new program:'), '')
    const findings = findingLines(report, program, paint)
    lines.push(...findings.length === 0 ? ['None in what was checked; what that covers is said below.', ''] : findings)
  }
  lines.push(...closingWords(report).map(line => paint('faint', printable(line))))
  return lines.join('\n') + '\n'
}
