import type { Related } from '../../../shared/finding.ts'
import type { Setup } from '../../../shared/setup.ts'
import { figure, mm, nearness } from './figure-words.ts'
import { phraseOf, type NearRun } from './near-runs.ts'
import type { SearchInput } from './search-motions.ts'

/** What touches what, how deep or how near, what was allowed, and what is lacking; of anything but tool and part. */
export function nearSentence(run: NearRun, tool: number, setup: Setup, input: SearchInput, rapid: boolean, middle: number, bound: number): string {
  const { kind } = run.obstacle, { wanted } = run.worstVerdict
  const who = typeof run.who === 'number' ? `The machine's "${run.component}"` : `Tool ${tool}'s ${run.component}`
  const what = phraseOf(run.obstacle, setup, input), pace = rapid ? ' at rapid' : ''
  const isBody = typeof run.who === 'number' || kind === 'body'
  if (run.open) {
    const where = middle < 0 ? `${figure(-middle, bound)} inside` : `${figure(middle, bound)} from`
    const limit = wanted === 0 ? 'Where they touch' : `The limit, ${mm(Math.abs(wanted))}${wanted < 0 ? ' deep' : ''},`
    return `${who} stands ${where} ${what}${pace}. ${limit} lies inside the proven interval: this cannot be decided.`
  }
  if (isBody && run.worstVerdict.rule !== 'head-clearance') {
    const rest = kind === 'stock' ? ' The stock is taken as the sheet gives it: what has been cut away by then is still there.' : ''
    return `${who} touches ${what}${pace}: nearer than ${mm(wanted)} counts as touching.${rest}`
  }
  if (kind === 'barrier') return `${who} goes ${figure(-middle, bound)} through ${what}${pace}; ${mm(-wanted)} is allowed. It must come back by ${mm(wanted - middle)}.`
  if (wanted <= 0) return `${who} runs ${figure(-middle, bound)} into ${what}${pace}; it must come away by at least that much.`
  return `${who} ${nearness(middle, bound, what)}${pace}; ${mm(wanted)} is asked for. It lacks ${mm(wanted - middle)}.`
}

/** Where the sheet speaks of what is touched. */
export function nearPlaces({ obstacle: { kind, index }, worstVerdict: { rule } }: NearRun, setup: Setup): Related[] {
  if (kind === 'barrier') return [{ file: setup.path, span: setup.barriers[index].mesh.span, message: 'The barrier is given here.' }]
  if (kind !== 'fixture') return []
  const { mesh, clearanceSpan } = setup.fixtures[index]
  const given: Related = { file: setup.path, span: mesh.span, message: 'The fixture is given here.' }
  if (rule !== 'fixture-clearance' || clearanceSpan === undefined) return [given]
  return [given, { file: setup.path, span: clearanceSpan, message: 'The limit is set here.' }]
}
