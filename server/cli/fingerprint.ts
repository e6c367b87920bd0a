import { createHash } from 'node:crypto'
import type { Finding } from '../../shared/finding.ts'
import { bareBlock, findingKeys } from '../engine/service.ts'
import type { CheckedProgram, CheckReport } from './check-report.ts'
import { linesOfFinding } from './check-report.ts'
import { lineText, placeOf } from './text-lines.ts'

/** A name for each finding that stays when blocks are renumbered or other blocks are edited: a hash of its key. */
export function fingerprints(report: Pick<CheckReport, 'textOf'>, program: Pick<CheckedProgram, 'findings' | 'path' | 'lines'>): ReadonlyMap<Finding, string> {
  const keys = findingKeys(program.findings, finding => {
    const lines = linesOfFinding(report, program, finding)
    return lines === undefined ? '' : bareBlock(lineText(lines, placeOf(lines, finding.span.start).line))
  })
  return new Map([...keys].map(([finding, key]) => [finding, createHash('sha256').update(key).digest('hex').slice(0, 32)]))
}
