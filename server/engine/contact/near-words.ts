import type { Related } from '../../../shared/finding.ts'
import type { Setup } from '../../../shared/setup.ts'
import { figure, mm } from './figure-words.ts'
import type { NearRun } from './near-runs.ts'

/** What touches what, how deep or how near, what was allowed, and what is lacking; against anything but the part. */
export function nearSentence(run: NearRun, tool: number, setup: Setup, rapid: boolean, middle: number, bound: number): string {
  const { kind, index } = run.obstacle, { wanted } = run.worstVerdict
  const name = (kind === 'barrier' ? setup.barriers[index] : setup.fixtures[index]).name
  const who = `Tool ${tool}'s ${run.component}`, what = `the ${kind} "${name}"`, pace = rapid ? ' at rapid' : ''
  if (run.open) {
    const where = middle < 0 ? `${figure(-middle, bound)} inside` : `${figure(middle, bound)} from`
    const limit = wanted === 0 ? 'Where they touch' : `The limit, ${mm(Math.abs(wanted))}${wanted < 0 ? ' deep' : ''},`
    return `${who} stands ${where} ${what}${pace}. ${limit} lies inside the proven interval: this cannot be decided.`
  }
  if (kind === 'barrier') return `${who} goes ${figure(-middle, bound)} through ${what}${pace}; ${mm(-wanted)} is allowed. It must come back by ${mm(wanted - middle)}.`
  if (wanted <= 0) return `${who} runs ${figure(-middle, bound)} into ${what}${pace}; it must come away by at least that much.`
  return `${who} comes within ${figure(middle, bound)} of ${what}${pace}; ${mm(wanted)} is asked for. It lacks ${mm(wanted - middle)}.`
}

/** Where the sheet speaks of what is touched. */
export function nearPlaces({ obstacle: { kind, index }, worstVerdict }: NearRun, setup: Setup): Related[] {
  if (kind === 'barrier') return [{ file: setup.path, span: setup.barriers[index].mesh.span, message: 'The barrier is given here.' }]
  const { mesh, clearanceSpan } = setup.fixtures[index]
  const given: Related = { file: setup.path, span: mesh.span, message: 'The fixture is given here.' }
  if (worstVerdict.wanted <= 0 || clearanceSpan === undefined) return [given]
  return [given, { file: setup.path, span: clearanceSpan, message: 'The limit is set here.' }]
}
