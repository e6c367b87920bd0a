import type { Finding } from '../../shared/finding.ts'
import { levels } from '../../shared/finding.ts'
import { byPlace } from '../engine/service.ts'

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

/** Millimetres beyond the limit; findings without contact figures come after all that have them. */
function excess(finding: Finding): number {
  const contact = finding.contact
  if (contact === undefined) return -1e9
  if (contact.depth !== undefined) return contact.depth - (finding.rule === 'gouge' ? contact.allowed : -contact.allowed)
  return contact.allowed - (contact.clearance ?? contact.allowed)
}
