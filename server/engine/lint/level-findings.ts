import type { Finding, Level } from '../../../shared/finding.ts'
import type { Problem } from '../../../shared/problem.ts'
import { ruleOf } from './all-rules.ts'

/** Levels by rule id, where the user wants others than the defaults. */
export type LevelSettings = Readonly<Record<string, Level>>

/** Gives every problem its level and puts the list in the order of the text. */
export function toFindings(problems: readonly Problem[], levels: LevelSettings = {}): Finding[] {
  const findings = problems.map(({ level, ...rest }): Finding => ({ ...rest, level: levelOf(rest.rule, levels, level) }))
  return sortFindings(findings)
}

/** The user's level, else the one the case itself asks for, else the rule's own. */
export function levelOf(rule: string, levels: LevelSettings = {}, ofCase?: Level): Level {
  return levels[rule] ?? ofCase ?? ruleOf(rule)?.level ?? 'error'
}

/** The program's own findings first, then those of other files; by place, then by rule. The list is sorted where it stands. */
export function sortFindings(findings: Finding[]): Finding[] {
  return findings.sort((a, b) =>
    compareText(a.file ?? '', b.file ?? '')
    || a.span.start - b.span.start
    || a.span.end - b.span.end
    || compareText(a.rule, b.rule)
    || compareText(a.message, b.message))
}

/** By code unit, so that the order does not depend on the user's language. */
function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
