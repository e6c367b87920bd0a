import { allRules, rulePage } from '../engine/service.ts'
import type { RuleWords } from './check-report.ts'

/** Every rule in words, in the order of its group and name. */
export function ruleWords(): RuleWords[] {
  return allRules.map(rule => ({ id: rule.id, level: rule.level, group: rule.group, ...rule.docs, page: rulePage(rule) }))
}
