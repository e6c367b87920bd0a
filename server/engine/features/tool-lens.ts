import { boundNumber } from '../../../shared/bound-text.ts'
import type { Finding } from '../../../shared/finding.ts'
import { clearancesOf, type Clearance, type MotionFigures } from './clearance-text.ts'
import type { ContactView } from './hover.ts'
import { lengthNumber, timeText, unitName, type LengthUnit } from './number-text.ts'
import { outlineOf, toolsOf, type OutlineNode } from './outline.ts'
import type { Place } from './program-text.ts'
import type { ProgramView } from './program-view.ts'

/** One line above a tool call: what is known of everything up to the next tool. */
export interface Lens {
  readonly place: Place
  readonly text: string
}

/** What is known of each tool's work, worst figures first found. `findings`: those of the program as they stand now. */
export function lensesOf(view: ProgramView, contact: ContactView, findings: readonly Finding[]): Lens[] {
  return toolsOf(outlineOf(view)).map(node => ({ place: node.place, text: lensText(view, contact, findings, node) }))
}

function lensText(view: ProgramView, contact: ContactView, findings: readonly Finding[], node: OutlineNode): string {
  const { motions: { order, start }, toolpath, lineStarts } = view
  const motions = order.subarray(start[node.first] ?? 0, start[Math.min(node.last + 1, start.length - 1)] ?? 0)
  let seconds = 0
  for (const motion of motions) seconds += toolpath.seconds[motion] ?? 0
  const from = lineStarts[node.first] ?? 0, to = lineStarts[node.last + 1] ?? view.text.length
  const open = findings.filter(({ file, span, waiver }) => file === undefined && waiver === undefined && span.start >= from && span.start < to)
  return [
    [node.name, node.detail].filter(part => part !== '').join(' '),
    findingsText(open),
    seconds > 0 && Number.isFinite(seconds) ? `${timeText(seconds)} at the programmed feeds` : undefined,
    ...contactParts(view, contact, motions),
  ].filter(part => part !== undefined).join('  ·  ')
}

function contactParts(view: ProgramView, contact: ContactView, motions: Uint32Array): string[] {
  if (motions.length === 0) return []
  if (contact.notSearched !== undefined) return ['contact not searched']
  const figures: MotionFigures[] = []
  for (const motion of motions) {
    const one = contact.figuresOf(motion)
    if (one !== undefined) figures.push(one)
  }
  if (figures.length === 0) return ['not searched yet']
  const unit: LengthUnit = view.setup?.unit === 25.4 ? 25.4 : 1
  // A motion whose start is not known has no figures: the rest is told all the same, and that it is not all.
  const searched = figures.filter(one => clearancesOf([one]) !== undefined)
  const known = clearancesOf(searched) ?? []
  return [
    ...known.map(one => figureText(one, unit)),
    ...searched.length < motions.length ? [`${motions.length - searched.length} of ${motions.length} motions not searched`] : [],
  ]
}

/** "cutter 0.051 mm deep ±0.001": shorter than in the hover, since what does not fit beside the others is not seen. */
function figureText({ component, value, bound, beyond }: Clearance, unit: LengthUnit): string {
  const figure = `${lengthNumber(Math.abs(value), unit)} ${unitName(unit)}`
  return beyond ? `${component} > ${figure}` : `${component} ${figure} ${value < 0 ? 'deep' : 'clear'} ±${boundNumber(bound, unit)}`
}

function findingsText(findings: readonly Finding[]): string {
  if (findings.length === 0) return 'no finding in what was looked at'
  return findings.length === 1 ? '1 finding' : `${findings.length} findings`
}
