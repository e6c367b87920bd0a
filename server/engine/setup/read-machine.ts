import type { Axis, Machine, MachineBody } from '../../../shared/machine.ts'
import type { Problem } from '../../../shared/problem.ts'
import type { Triple } from '../../../shared/setup.ts'
import { Fields, radians, shown, SheetNotes } from './fields.ts'
import { parseJson } from './json-tree.ts'
import { axisLetters, isRotaryLetter, machineKeys } from './keys.ts'
import { readControl } from './read-control.ts'
import { readPlacement, unitLength, units } from './read-placement.ts'
import { PARALLEL } from './tolerance.ts'

/**
 * The machine file, checked, in mm, radians and seconds. Without a machine its axes, chains or
 * spindle cannot be used; other faults leave the machine with the default in their place. The bodies that could be read
 * are there either way.
 */
export function readMachine(file: { readonly path: string, readonly text: string }): { machine?: Machine, bodies?: readonly MachineBody[], problems: Problem[] } {
  const notes = new SheetNotes(file.path)
  const { root, fault } = parseJson(file.text)
  if (fault !== undefined) notes.say(fault.span, fault.message)
  if (root === undefined) return { problems: notes.problems }
  if (root.kind !== 'object') {
    notes.say(root.span, 'A machine file is one object in braces { }, with "axes", "table", "head" and so on.')
    return { problems: notes.problems }
  }
  const fields = new Fields(notes, root, 'the machine file', '', machineKeys.machine)
  notes.unit = unitLength(fields.choice('units', units) ?? 'mm')
  fields.text('$schema')
  const name = fields.text('name', { need: 'what it is called, for example "name": "table-table, A under C"' }) ?? 'machine without a name'
  const before = notes.problems.length
  const { axes, letters } = readAxes(fields)
  const { table, head } = readChains(fields, axes, letters)
  const spindle = readSpindle(fields)
  const usable = notes.problems.slice(before).every(problem => problem.rule !== 'setup-error')
  const home = readPlace(fields, 'home', axes, letters), secondHome = readPlace(fields, 'secondHome', axes, letters)
  const bodies = readBodies(fields, axes, letters)
  const rotary = axes.filter(axis => axis.kind === 'rotary').map(axis => axis.letter)
  const control = readControl(fields, rotary)
  if (!usable) return { bodies, problems: notes.problems }
  return { machine: { name, path: file.path, axes, table, head, spindle, home, ...secondHome === undefined ? {} : { secondHome }, bodies, control }, bodies, problems: notes.problems }
}

/** `letters`: those the file names, also of axes that could not be read, so that one fault is said once. */
function readAxes(machine: Fields): { axes: Axis[], letters: readonly string[] } {
  const all = machine.object('axes', '"axes"', axisLetters, { need: 'the axes by their letters, for example "axes": { "X": { "kind": "linear", "direction": [1, 0, 0] } }' })
  if (all === undefined) return { axes: [], letters: axisLetters }
  const axes = all.keys.flatMap(letter => {
    const fields = all.object(letter, `axis ${letter}`, machineKeys.axis)
    const axis = fields === undefined ? undefined : readAxis(fields, letter)
    return axis === undefined ? [] : [axis]
  })
  const [x, y, z] = ['X', 'Y', 'Z'].map(letter => axes.find(axis => axis.letter === letter)?.direction)
  if (x !== undefined && y !== undefined && z !== undefined && Math.abs(determinant(x, y, z)) < PARALLEL) {
    machine.notes.say(machine.keySpanOf('axes'), 'The directions of X, Y and Z lie in one plane, so the tool cannot reach every point; correct a "direction".')
  }
  return { axes, letters: all.keys }
}

function readAxis(fields: Fields, letter: string): Axis | undefined {
  const { notes } = fields
  const kind = fields.choice('kind', ['linear', 'rotary'], { need: '"kind": "linear" or "kind": "rotary"' })
  const direction = readDirection(fields, 'direction', 'the way its link moves, or the axis it turns about by the right-hand rule, when the value grows, for example "direction": [0, 0, 1]')
  if (kind === undefined || direction === undefined) return undefined
  const rotary = kind === 'rotary'
  if (rotary !== isRotaryLetter(letter)) {
    notes.say(fields.spanOf('kind'), `${letter} is the letter of a ${rotary ? 'linear' : 'rotary'} axis (ISO 841: A B C turn; X Y Z U V W are straight); change the letter or the kind.`)
    return undefined
  }
  if (!rotary && fields.has('through')) notes.say(fields.keySpanOf('through'), `Axis ${letter} is linear and has no "through"; leave it out.`)
  const through = rotary ? fields.triple('through', notes.unit, { need: 'a point on its centre line, machine frame, for example "through": [0, 0, -50]' }) : undefined
  const unit = rotary ? radians(1) : notes.unit
  const rate = (key: string) => {
    const perMinute = fields.number(key, { above: 0 })
    return perMinute === undefined ? undefined : perMinute * unit / 60
  }
  const acceleration = fields.number('acceleration', { above: 0 })
  return {
    letter, kind, direction,
    through: through ?? [0, 0, 0],
    range: readRange(fields, rotary, unit),
    rapid: rate('rapid'),
    maxFeed: rate('maxFeed'),
    acceleration: acceleration === undefined ? undefined : rotary ? radians(acceleration) : acceleration,
  }
}

function readRange(fields: Fields, rotary: boolean, unit: number): readonly [number, number] | undefined {
  const node = fields.value('range')
  if (node === undefined) {
    const how = rotary ? 'write "range": null where it turns without end' : 'write "range": [least, most]'
    fields.notes.say(fields.opening, `${fields.name} has no "range", so its travel is not checked; ${how}.`, { rule: 'not-checked', level: 'note' })
    return undefined
  }
  if (node.kind === 'null' && rotary) return undefined
  const items = node.kind === 'array' ? node.items : []
  const [least, most] = items.flatMap(item => item.kind === 'number' && Math.abs(item.value) <= 1e9 ? [item.value] : [])
  if (items.length !== 2 || least === undefined || most === undefined) {
    return fields.sayValue('range', node, `write the two ends, for example ${rotary ? '[-110, 30], or null where it turns without end' : '[-300, 300]'}`)
  }
  if (least >= most) {
    fields.notes.say(node.span, `"range" of ${fields.name} runs from ${least} to ${most}; the smaller end comes first, and they differ.`)
    return undefined
  }
  return [least * unit, most * unit]
}

function readDirection(fields: Fields, key: string, need?: string): Triple | undefined {
  const v = fields.triple(key, 1, { need })
  if (v === undefined) return undefined
  const length = Math.hypot(...v)
  if (length > 1e-6) return [v[0] / length, v[1] / length, v[2] / length]
  fields.notes.say(fields.spanOf(key), `"${key}" of ${fields.name} has no length; write a direction, for example [0, 0, 1].`)
  return undefined
}

/** Each axis stands in exactly one of the two chains. */
function readChains(machine: Fields, axes: readonly Axis[], letters: readonly string[]): { table: number[], head: number[] } {
  const where = new Map<number, string>()
  const given = letters.join(', ')
  const read = (key: string) => machine.list(key, 'axis letters')?.flatMap(item => {
    const joint = item.kind === 'string' ? axes.findIndex(axis => axis.letter === item.value) : -1
    if (joint < 0) {
      if (item.kind === 'string' && letters.includes(item.value)) return []
      machine.notes.say(item.span, `${shown(item)} in "${key}" is not one of the machine's axes${given === '' ? '' : `: ${given}`}.`)
      return []
    }
    const earlier = where.get(joint)
    if (earlier !== undefined) {
      machine.notes.say(item.span, `Axis ${shown(item)} stands in "${earlier}" already; an axis moves either the table or the head, once.`)
      return []
    }
    where.set(joint, key)
    return [joint]
  }) ?? []
  const table = read('table'), head = read('head')
  for (const [joint, axis] of axes.entries()) {
    if (!where.has(joint)) machine.notes.say(machine.keySpanOf('axes'), `Axis ${axis.letter} stands in neither "table" nor "head"; write its letter in the chain that it moves.`)
  }
  return { table, head }
}

function readSpindle(machine: Fields): Machine['spindle'] {
  const fields = machine.object('spindle', 'the spindle', machineKeys.spindle)
  const gauge = fields?.triple('gauge', machine.notes.unit) ?? [0, 0, 0]
  const axis = fields === undefined ? undefined : readDirection(fields, 'axis')
  return { gauge, axis: axis ?? [0, 0, 1] }
}

/** Joint values, in joint order; undefined where the file does not give them all: the start is then unknown. */
function readPlace(machine: Fields, key: 'home' | 'secondHome', axes: readonly Axis[], letters: readonly string[]): number[] | undefined {
  const fields = machine.object(key, key === 'home' ? 'the home position' : 'the second home position', letters)
  if (fields === undefined) return undefined
  const values = axes.flatMap(axis => {
    const value = axis.kind === 'rotary' ? fields.angle(axis.letter) : fields.length(axis.letter)
    if (value === undefined) {
      if (!fields.has(axis.letter)) fields.sayMissing(axis.letter, key === 'home' ? `"${axis.letter}" too, or leave out "home" where the start is unknown` : `"${axis.letter}" too, or leave out "secondHome"`)
      return []
    }
    if (axis.range !== undefined && (value < axis.range[0] || value > axis.range[1])) {
      machine.notes.say(fields.spanOf(axis.letter), `${key === 'home' ? 'Home' : 'Second home'} of ${axis.letter} lies outside the axis' own "range"; correct one of them.`)
      return []
    }
    return [value]
  })
  return values.length === axes.length ? values : undefined
}

function readBodies(machine: Fields, axes: readonly Axis[], letters: readonly string[]): MachineBody[] {
  return machine.objects('bodies', i => `body ${i + 1}`, machineKeys.body).flatMap(fields => {
    const name = fields.text('name', { need: 'what it is called in findings, for example "name": "spindle nose"' })
    const letter = fields.choice('on', letters, { need: `the axis that carries it, for example "on": "Z"` })
    const mesh = readPlacement(fields)
    if (name === undefined || letter === undefined || mesh === undefined) return []
    const on = axes.findIndex(axis => axis.letter === letter)
    return on < 0 ? [] : [{ name, on, mesh }]
  })
}

function determinant(a: Triple, b: Triple, c: Triple): number {
  return a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])
}
