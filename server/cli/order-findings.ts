import type { Finding } from '../../shared/finding.ts'
import { levels } from '../../shared/finding.ts'

/**
 * Worst first: by level; then contact by how far it is beyond what is allowed; then the rest in the
 * order of the text. Findings a reviewer has accepted come last.
 */
export function worstFirst(findings: readonly Finding[]): Finding[] {
  return [...findings].sort((a, b) =>
    Number(a.waiver !== undefined) - Number(b.waiver !== undefined)
    || levels.indexOf(b.level) - levels.indexOf(a.level)
    || excess(b) - excess(a)
    || byPlace(a, b))
}

/** The order of the text, the program's own findings before those in other files. Never depends on who found it first. */
export function byPlace(a: Finding, b: Finding): number {
  return compareText(a.file ?? '', b.file ?? '')
    || a.span.start - b.span.start
    || a.span.end - b.span.end
    || compareText(a.rule, b.rule)
    || compareText(a.message, b.message)
}

/** Millimetres beyond the limit; findings without contact figures come after all that have them. */
function excess(finding: Finding): number {
  const contact = finding.contact
  if (contact === undefined) return -1e9
  if (contact.depth !== undefined) return contact.depth - (finding.rule === 'gouge' ? contact.allowed : -contact.allowed)
  return contact.allowed - (contact.clearance ?? contact.allowed)
}

function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
