import type { Finding } from '../../shared/finding.ts'
import { toFindings } from './lint/level-findings.ts'

/** Says of a program which of several sheets was taken, where nobody has chosen one. Names are told from the program's folder. */
export function severalSetups(taken: string, others: readonly string[]): Finding[] {
  if (others.length === 0) return []
  return toFindings([{
    rule: 'several-setups',
    span: { start: 0, end: 0 },
    message: `${others.length + 1} setup sheets would serve this program. ${taken} was taken; nothing was checked with ${listed(others)}.`
      + ' Choose one: with --setup FILE in the terminal, with "Choose the Setup Sheet of This Program" in the editor, or for good by naming the program itself, without *, in the "programs" of one sheet only.',
  }])
}

/** The same for a sentence that has just named the sheet; empty where there was no choice. */
export function othersWouldServe(others: readonly string[]): string {
  return others.length === 0 ? '' : ` It was taken, though ${listed(others)} would serve as well.`
}

/** Names told at most. */
const MOST_NAMES = 4

function listed(names: readonly string[]): string {
  const shown = names.slice(0, MOST_NAMES), more = names.length - shown.length
  return more > 0 ? `${shown.join(', ')} and ${more} more` : shown.length === 1 ? shown.join() : `${shown.slice(0, -1).join(', ')} and ${shown.at(-1)}`
}
