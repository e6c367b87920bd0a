import type { Related } from '../../../shared/finding.ts'
import type { Setup } from '../../../shared/setup.ts'
import { figure, grossDepth, mm, nearness } from './figure-words.ts'
import { phraseOf, type NearRun } from './near-runs.ts'
import type { SearchInput } from './search-motions.ts'

/** What touches what, how deep or how near, what was allowed, and what is lacking; of anything but tool and part. */
export function nearSentence(run: NearRun, tool: number, setup: Setup, input: SearchInput, rapid: boolean, middle: number, bound: number): string {
  const { kind } = run.obstacle, { wanted } = run.worstVerdict
  const who = typeof run.who === 'number' ? `The machine's "${run.component}"` : `Tool ${tool}'s ${run.component}`
  const what = phraseOf(run.obstacle, setup, input), pace = rapid ? ' at rapid' : ''
  const isBody = typeof run.who === 'number' || kind === 'body'
  if (kind === 'stock' && !isBody) return stockSentence(run, who, pace)
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

/** What meets the stock as it has been cut down to by then, and how well the rays can tell. */
function stockSentence({ worstVerdict: { rule }, open, value, certified }: NearRun, who: string, pace: string): string {
  const between = `between two rays of the stock it may be ${mm(value - certified)} more`
  if (open) {
    const where = value < 0 ? 'touches what has been cut' : `comes within ${mm(value)} of the material that stands there`
    return `${who} ${where}${pace}; ${between}: whether it runs into material cannot be decided. A finer "pitch" of the stock decides it.`
  }
  const deep = value < -grossDepth ? `more than ${grossDepth} mm` : `${mm(-value)} (${between})`
  if (rule === 'flute-too-short') return `${who} meets material above the cutting length: it goes ${deep} into what the flutes have not cut.`
  return `${who} runs ${deep} into the stock that stands there${pace}.`
}

/** Where the sheet speaks of what is touched. */
export function nearPlaces({ obstacle: { kind, index }, worstVerdict: { rule } }: NearRun, setup: Setup): Related[] {
  if (kind === 'barrier') return [{ file: setup.path, span: setup.barriers[index].mesh.span, message: 'The barrier is given here.' }]
  if (kind === 'stock' && setup.spans['stock'] !== undefined) return [{ file: setup.path, span: setup.spans['stock'], message: 'The stock is given here.' }]
  if (kind !== 'fixture') return []
  const { mesh, clearanceSpan } = setup.fixtures[index]
  const given: Related = { file: setup.path, span: mesh.span, message: 'The fixture is given here.' }
  if (rule !== 'fixture-clearance' || clearanceSpan === undefined) return [given]
  return [given, { file: setup.path, span: clearanceSpan, message: 'The limit is set here.' }]
}
