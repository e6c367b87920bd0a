import type { Report } from '../../../shared/problem.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import { allRules } from './all-rules.ts'
import type { BlockStep, Rule, RuleContext, RuleVisitor } from './rule.ts'

/**
 * Starts every rule that checks something itself and answers with one visitor, so that the
 * program is walked once for all of them.
 */
export function startRules(report: Report, context: RuleContext, rules: readonly Rule[] = allRules): RuleVisitor {
  const onBlock: ((step: BlockStep) => void)[] = []
  const onEnd: ((toolpath: Toolpath) => void)[] = []
  for (const rule of rules) {
    const visitor = rule.start?.(report, context)
    if (visitor?.block !== undefined) onBlock.push(visitor.block)
    if (visitor?.end !== undefined) onEnd.push(visitor.end)
  }
  return {
    block(step) {
      for (const visit of onBlock) visit(step)
    },
    end(toolpath) {
      for (const visit of onEnd) visit(toolpath)
    },
  }
}
