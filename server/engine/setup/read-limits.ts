import type { Clearances, Limits, PartialLimits, Pass, Triple } from '../../../shared/setup.ts'
import { type Fields, radians } from './fields.ts'
import { sheetKeys } from './keys.ts'
import { readMend } from './read-mend.ts'

/** What holds where the sheet says nothing: mm and radians. Common practice of finishing with small tools. */
export const defaultLimits: Limits = {
  gouge: 0.01,
  stockToLeave: 0,
  clearance: { neck: 0.15, shank: 0.15, holder: 1, head: 5, rapid: 1 },
  leftover: 0.05,
  axisStep: radians(5),
}

export function readLimits(parent: Fields, name: string): PartialLimits {
  const fields = parent.object('limits', name, sheetKeys.limits)
  if (fields === undefined) return {}
  const clearance = fields.object('clearance', `the clearances of ${name}`, sheetKeys.clearance)
  return withoutGaps({
    gouge: fields.length('gouge', { min: 0 }),
    stockToLeave: fields.length('stockToLeave'),
    clearance: clearance === undefined ? undefined : withoutGaps<Partial<Clearances>>({
      neck: clearance.length('neck', { min: 0 }),
      shank: clearance.length('shank', { min: 0 }),
      holder: clearance.length('holder', { min: 0 }),
      head: clearance.length('head', { min: 0 }),
      rapid: clearance.length('rapid', { min: 0 }),
    }),
    leftover: fields.length('leftover', { min: 0 }),
    axisStep: fields.angle('axisStep', { above: 0 }),
  })
}

/** `over` laid upon `under`, clearance by clearance. */
export function mergeLimits(under: Limits, over: PartialLimits): Limits {
  return { ...under, ...over, clearance: { ...under.clearance, ...over.clearance } }
}

/** `tools` and `barriers`: what the sheet gives, so that a pass names nothing else. */
export function readPass(fields: Fields, tools: readonly number[], barriers: readonly string[]): Pass {
  const { notes } = fields
  const named = fields.list('tools', 'tool numbers')?.flatMap(item => {
    const number = fields.numberIn('tools', item, { whole: true, min: 1 })
    if (number === undefined) return []
    if (!tools.includes(number)) notes.say(item.span, `${fields.name} is for tool ${number}, which the sheet does not give; its tools are ${tools.length === 0 ? 'none' : tools.join(', ')}.`)
    return [number]
  })
  const from = sequenceNumber(fields, 'from')
  const to = sequenceNumber(fields, 'to')
  if (from !== undefined && to !== undefined && from > to) {
    notes.say(fields.spanOf('to'), `${fields.name} runs from N${from} to N${to}, backwards; write the smaller number in "from".`)
  }
  const kept = fields.texts('barriers', 'names of the sheet\'s "barriers"')
  for (const name of kept ?? []) {
    if (!barriers.includes(name)) notes.say(fields.spanOf('barriers'), `${fields.name} names the barrier "${name}", which the sheet does not give${barriers.length === 0 ? '' : `; its barriers are ${barriers.map(known => `"${known}"`).join(', ')}`}.`)
  }
  return {
    tools: named,
    from,
    to,
    limits: readLimits(fields, `the limits of ${fields.name}`),
    axisThrough: readAxisThrough(fields),
    barriers: kept,
    oneWay: fields.flag('oneWay') ?? false,
    ...fields.has('mend') ? { mend: readMend(fields, barriers) } : {},
    span: fields.node.span,
  }
}

function readAxisThrough(pass: Fields): { point: Triple, within: number } | undefined {
  const fields = pass.object('axisThrough', `"axisThrough" of ${pass.name}`, sheetKeys.axisThrough)
  const point = fields?.triple('point', pass.notes.unit, { need: 'the point the tool axis must pass, for example "point": [0, 0, 60]' })
  const within = fields?.length('within', { above: 0, need: 'how near it must pass, for example "within": 0.05' })
  return point === undefined || within === undefined ? undefined : { point, within }
}

function sequenceNumber(fields: Fields, key: string): number | undefined {
  const node = fields.value(key)
  if (node === undefined) return undefined
  const digits = node.kind === 'string' ? /^N(\d{1,9})$/.exec(node.value)?.[1] : undefined
  return digits === undefined ? fields.sayValue(key, node, 'write the sequence number of a block, for example "N100"') : Number(digits)
}

function withoutGaps<T extends object>(record: T): T {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as T
}
