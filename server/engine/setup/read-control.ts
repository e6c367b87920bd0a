import type { Control } from '../../../shared/machine.ts'
import type { Fields } from './fields.ts'
import { machineKeys } from './keys.ts'
import { readJumps } from './read-jumps.ts'

/** What the codes mean where the machine file says nothing. */
export const defaultControl: Control = {
  inch: ['G20', 'G70'],
  metric: ['G21', 'G71'],
  toolCentreOn: ['G43.4'],
  toolVectorOn: ['G43.5'],
  toolCentreOff: ['G49'],
  tiltedPlaneOn: ['G68.2'],
  orientTool: ['G53.1'],
  tiltedPlaneOff: ['G69'],
  inverseTime: 'per-minute',
  dwell: { P: 'milliseconds', X: 'seconds' },
  wholeNumber: { as: 'units' },
  arcCentre: 'incremental',
  rotaryTravel: {},
  rapid: 'each-axis',
  returnLevel: ['G98', 'G99'],
  subprogram: ['M98', 'M99'],
  macro: ['G65', 'G66', 'G67'],
  cycles: ['G73', 'G74', 'G76', 'G80', 'G81', 'G82', 'G83', 'G84', 'G85', 'G86', 'G87', 'G88', 'G89'],
  neutral: [],
  define: {},
}

const meanings = ['inch', 'metric', 'toolCentreOn', 'toolVectorOn', 'toolCentreOff', 'tiltedPlaneOn', 'orientTool', 'tiltedPlaneOff'] as const
const features = ['returnLevel', 'subprogram', 'macro', 'cycles'] as const

/** The least increment of the usual control, in the unit the program is written in. Common practice. */
const LEAST_INCREMENT = 0.001

/** `control` of the machine file; `rotary`: letters of the machine's rotary axes. */
export function readControl(machine: Fields, rotary: readonly string[]): Control {
  const fields = machine.object('control', 'the control', machineKeys.control)
  const asWritten = Object.fromEntries(rotary.map(letter => [letter, 'as-written' as const]))
  if (fields === undefined) return { ...defaultControl, rotaryTravel: asWritten }
  const usedBy = new Map<string, string>()
  const codes = Object.fromEntries(meanings.map(key => [key, codeList(fields, key, usedBy) ?? defaultControl[key]])) as Record<typeof meanings[number], readonly string[]>
  const lists = Object.fromEntries(features.map(key => [key, featureCodes(fields, key) ?? defaultControl[key]])) as Record<typeof features[number], readonly string[] | undefined>
  return {
    ...codes,
    ...lists,
    tiltedPlaneAngles: readPlaneAngles(fields),
    tiltedPlaneForms: readPlaneForms(fields),
    tiltedPlaneShift: fields.choice('tiltedPlaneShift', ['unknown', 'in-plane']),
    orientChoice: readOrientChoice(fields),
    blockTime: readBlockTime(fields),
    inverseTime: fields.choice('inverseTime', ['per-minute', 'seconds']) ?? defaultControl.inverseTime,
    dwell: readDwell(fields) ?? defaultControl.dwell,
    wholeNumber: readWholeNumber(fields) ?? defaultControl.wholeNumber,
    arcCentre: fields.choice('arcCentre', ['incremental', 'absolute']) ?? defaultControl.arcCentre,
    rotaryTravel: { ...asWritten, ...readRotaryTravel(fields, rotary) },
    rapid: fields.choice('rapid', ['each-axis', 'straight']) ?? defaultControl.rapid,
    ...readJumps(fields),
    neutral: codeList(fields, 'neutral', usedBy) ?? defaultControl.neutral,
    define: readDefinitions(fields),
  }
}

/** `G04` and `g4` are one code: upper case, no leading zero. */
function plainCode(text: string): string | undefined {
  const found = /^([GM])0*(\d+)(\.\d+)?$/.exec(text.trim().toUpperCase())
  return found === null ? undefined : `${found[1]}${found[2]}${found[3] ?? ''}`
}

const codesWanted = 'codes in double quotes, for example ["G43.4"]'

function codeList(fields: Fields, key: string, usedBy: Map<string, string>): readonly string[] | undefined {
  const codes = fields.list(key, codesWanted)?.flatMap(item => {
    const code = item.kind === 'string' ? plainCode(item.value) : undefined
    if (code === undefined) {
      fields.sayValue(key, item, `write ${codesWanted}`)
      return []
    }
    const other = usedBy.get(code)
    if (other !== undefined && other !== key) {
      fields.notes.say(item.span, `${code} stands in "${other}" and in "${key}"; a code has one meaning.`)
      return []
    }
    usedBy.set(code, key)
    return [code]
  })
  return codes
}

/** A list of codes, or false where the control has none. */
function featureCodes(fields: Fields, key: string): readonly string[] | undefined {
  const node = fields.value(key)
  if (node === undefined) return undefined
  if (node.kind === 'boolean' && !node.value) return []
  if (node.kind === 'array') return codeList(fields, key, new Map())
  return fields.sayValue(key, node, `write ${codesWanted}, or false where the control has none`)
}

function readDwell(control: Fields): Control['dwell'] | undefined {
  const fields = control.object('dwell', '"dwell"', ['P', 'X', 'U', 'F', 'S'])
  if (fields === undefined) return undefined
  return Object.fromEntries(fields.keys.flatMap(letter => {
    const unit = fields.choice(letter, ['milliseconds', 'seconds'])
    return unit === undefined ? [] : [[letter, unit]]
  }))
}

/** `"units"`, `"increments"`, or `{ "increments": 0.001 }` with the least increment. */
function readWholeNumber(control: Fields): Control['wholeNumber'] | undefined {
  const node = control.value('wholeNumber')
  if (node === undefined) return undefined
  if (node.kind === 'object') {
    const fields = control.objectIn('wholeNumber', node, '"wholeNumber"', 'control.wholeNumber', machineKeys.wholeNumber)
    const increment = fields?.number('increments', { above: 0, max: 1, need: 'the least increment, for example "increments": 0.001' })
    return increment === undefined ? undefined : { as: 'increments', increment }
  }
  const as = control.choiceIn('wholeNumber', node, ['units', 'increments'])
  if (as === undefined) return undefined
  return as === 'units' ? { as } : { as, increment: LEAST_INCREMENT }
}

function readRotaryTravel(control: Fields, rotary: readonly string[]): Control['rotaryTravel'] {
  const fields = control.object('rotaryTravel', '"rotaryTravel"', rotary)
  return Object.fromEntries((fields?.keys ?? []).flatMap(letter => {
    const how = fields?.choice(letter, ['as-written', 'shortest', 'sign-is-direction'])
    return how === undefined ? [] : [[letter, how]]
  }))
}

const planeOrders = 'XYZ'.split('').flatMap(a => 'XYZ'.split('').flatMap(b => 'XYZ'.split('').flatMap(c => a === b || b === c ? [] : [`${a}-${b}-${c}`])))

function readPlaneAngles(control: Fields): Control['tiltedPlaneAngles'] {
  const fields = control.object('tiltedPlaneAngles', '"tiltedPlaneAngles"', machineKeys.tiltedPlaneAngles)
  if (fields === undefined) return undefined
  const order = fields.choice('order', planeOrders, { need: 'the axes that I J K turn about, for example "order": "Z-X-Z"' })
  return order === undefined ? undefined : { order, about: fields.choice('about', ['turned', 'fixed']) ?? 'turned' }
}

/** The values of P that `orientTool` knows and what they ask for. */
function readOrientChoice(control: Fields): Control['orientChoice'] {
  const fields = control.object('orientChoice', '"orientChoice"', ['0', '1', '2', '3', '4'])
  if (fields === undefined) return undefined
  return Object.fromEntries(fields.keys.flatMap(value => {
    const way = fields.choice(value, ['nearest', 'positive', 'negative'])
    return way === undefined ? [] : [[value, way]]
  }))
}

function readPlaneForms(control: Fields): Control['tiltedPlaneForms'] {
  const fields = control.object('tiltedPlaneForms', '"tiltedPlaneForms"', ['1', '2', '3', '4'])
  if (fields === undefined) return undefined
  return Object.fromEntries(fields.keys.flatMap(value => {
    const form = fields.choice(value, ['points', 'vectors'])
    return form === undefined ? [] : [[value, form]]
  }))
}

/** Milliseconds in the file. */
function readBlockTime(control: Fields): number | undefined {
  const milliseconds = control.number('blockTime', { above: 0 })
  return milliseconds === undefined ? undefined : milliseconds / 1000
}

function readDefinitions(control: Fields): Control['define'] {
  const all = control.object('define', '"define"')
  return Object.fromEntries((all?.keys ?? []).flatMap(key => {
    const code = plainCode(key)
    if (all === undefined || code === undefined) {
      all?.notes.say(all.keySpanOf(key), `"${key}" is not a G or M code; write for example "M88": { "says": "chip conveyor on", "effect": "none" }.`)
      return []
    }
    const fields = all.object(key, `the meaning of ${code}`, machineKeys.definition)
    const says = fields?.text('says', { need: 'what it does, in words, in "says"' })
    const effect = fields?.choice('effect', ['none', 'stop', 'rotary-clamp'], { need: '"effect": "none", "stop" or "rotary-clamp"' })
    return says === undefined || effect === undefined ? [] : [[code, { says, effect }]]
  }))
}
