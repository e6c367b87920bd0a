import type { MendStep, PartialLimits, Pass } from '../../../shared/setup.ts'
import { length } from '../closing-words.ts'

/** One pass of the sheet in words: where it holds, and everything that it states. */
export function passWords({ tools, from, to, limits, axisThrough, oneWay, barriers, mend }: Pass): string {
  const where = [
    tools === undefined ? 'all tools' : `tool ${tools.join(', ')}`,
    ...from === undefined && to === undefined ? [] : [`blocks ${from === undefined ? 'from the first' : `N${from}`} to ${to === undefined ? 'the last' : `N${to}`}`],
  ].join(', ')
  const what = [
    ...limitWords(limits),
    ...axisThrough === undefined ? [] : [`tool axis through (${axisThrough.point.join(' ')}) within ${length(axisThrough.within)} mm`],
    ...oneWay ? ['the path may not reverse'] : [],
    ...barriers === undefined ? [] : [barriers.length === 0 ? 'no barrier of its own' : `${barriers.length === 1 ? 'barrier' : 'barriers'} ${barriers.map(name => `"${name}"`).join(', ')} not to be crossed`],
    ...mend === undefined ? [] : [`corrections that a mend makes, in order: ${mend.map(stepWords).join(', then ')}`],
  ]
  return `${where}: ${what.length === 0 ? 'nothing else is stated' : what.join('; ')}`
}

function limitWords({ gouge, stockToLeave, clearance, leftover, axisStep }: PartialLimits): string[] {
  const mm = (name: string, value: number | undefined) => value === undefined ? [] : [`${name} ${length(value)} mm`]
  return [
    ...mm('gouge', gouge), ...mm('stock to leave', stockToLeave), ...mm('leftover', leftover),
    ...Object.entries(clearance ?? {}).flatMap(([name, value]) => mm(`clearance ${name}`, value)),
    ...axisStep === undefined ? [] : [`axis step ${Number((axisStep * 180 / Math.PI).toFixed(3))}°`],
  ]
}

/** One correction of a plan: what it does it with, and what it leaves. */
function stepWords({ by, components, allow, clearance, barrier, point }: MendStep): string {
  const more = [
    ...components === undefined ? [] : [`for ${components.join(' and ')}`],
    ...allow === undefined ? [] : [allow === 0 ? 'leaving no cut below the surface' : `leaving cuts up to ${length(allow)} mm deep`],
    ...clearance === undefined ? [] : [`to ${length(clearance)} mm clear`],
    ...barrier === undefined ? [] : [`"${barrier}"`],
    ...point === undefined ? [] : [`at (${point.join(' ')})`],
  ]
  return more.length === 0 ? by : `${by} ${more.join(', ')}`
}
