import { createHash } from 'node:crypto'
import type { Finding } from '../../shared/finding.ts'
import type { CheckedProgram, CheckReport } from './check-report.ts'
import { linesOfFinding } from './check-report.ts'
import { byPlace } from './order-findings.ts'
import { lineText, placeOf } from './text-lines.ts'

/**
 * A name for each finding that stays when blocks are renumbered or other blocks are edited: a hash
 * of the rule, of what touches what, of the block without number, comments and blanks, and of how
 * many equal ones came before it in the text.
 */
export function fingerprints(report: CheckReport, program: CheckedProgram): ReadonlyMap<Finding, string> {
  const result = new Map<Finding, string>()
  const seen = new Map<string, number>()
  for (const finding of [...program.findings].sort(byPlace)) {
    const lines = linesOfFinding(report, program, finding)
    const block = lines === undefined ? '' : bareBlock(lineText(lines, placeOf(lines, finding.span.start).line))
    const touch = finding.contact === undefined ? '' : `${finding.contact.component}/${finding.contact.against}`
    const key = JSON.stringify([finding.rule, touch, block])
    const earlier = seen.get(key) ?? 0
    seen.set(key, earlier + 1)
    result.set(finding, createHash('sha256').update(`${key}#${earlier}`).digest('hex').slice(0, 32))
  }
  return result
}

/** The words of a block: no comments, no blanks, no sequence number, capital letters. */
export function bareBlock(line: string): string {
  return line
    .replace(/\([^)]*(\)|$)|;.*$/g, '')
    .replace(/\s+/g, '')
    .toUpperCase()
    .replace(/^(\/\d?)?N\d+/, '$1')
}
