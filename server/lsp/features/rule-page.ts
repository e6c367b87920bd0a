import { rulePageOf } from '../../engine/editor-service.ts'
import type { ServerContext } from '../server-context.ts'

/** The page of a rule, in words for the user. */
export function registerRulePage({ answer }: ServerContext): void {
  answer('toolwake/rulePage', ({ rule }) => ({ markdown: rulePageOf(rule) }))
}
