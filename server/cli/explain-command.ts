import type { RuleGroup, RuleWords } from './check-report.ts'
import { ExitCode } from './exit-codes.ts'
import { nearestName } from './nearest-name.ts'
import type { Terminal } from './terminal.ts'

/** The way of a program: read, run, moved, touching, left behind; then what it is checked with. */
const groupOrder: readonly RuleGroup[] = ['text', 'state', 'motion', 'contact', 'result', 'inputs']

/** The page of one rule, or the list of all. */
export async function runExplain(rule: string | undefined, terminal: Terminal, rules: readonly RuleWords[]): Promise<ExitCode> {
  if (rule === undefined) {
    await terminal.output.write(list(rules))
    return ExitCode.clean
  }
  const found = rules.find(({ id }) => id === rule)
  if (found !== undefined) {
    await terminal.output.write(found.page.trimEnd() + '\n')
    return ExitCode.clean
  }
  const near = nearestName(rule, rules.map(({ id }) => id))
  const hint = near === undefined ? '"toolwake explain" lists the rules.' : `The nearest is "${near}".`
  await terminal.errors.write(`toolwake: There is no rule "${rule}". ${hint}\n`)
  return ExitCode.unusable
}

function list(rules: readonly RuleWords[]): string {
  const groups = groupOrder.filter(group => rules.some(rule => rule.group === group))
  const width = Math.max(...rules.map(rule => rule.id.length))
  const lines = groups.flatMap(group => [
    `${group}`,
    ...rules.filter(rule => rule.group === group).map(rule => `  ${rule.id.padEnd(width)}  ${rule.level.padEnd(7)}  ${rule.what}`),
    '',
  ])
  return [...lines, '"toolwake explain RULE" prints the page of one.', ''].join('\n')
}
