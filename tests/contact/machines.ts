import type { Axis, Control, Machine } from '../../shared/machine.ts'
import type { Triple } from '../../shared/setup.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'

// Machines of every family, for tests of motion and contact.

const control: Control = {
  inch: ['G20'], metric: ['G21'], toolCentreOn: ['G43.4'], toolVectorOn: [], toolCentreOff: ['G49'],
  tiltedPlaneOn: [], orientTool: [], tiltedPlaneOff: [], inverseTime: 'per-minute', dwell: {}, wholeNumber: { as: 'units' },
  arcCentre: 'incremental', rotaryTravel: {}, rapid: 'each-axis', neutral: [], define: {},
}

interface ChainWish {
  readonly name: string
  readonly axes: readonly Axis[]
  /** Letters from the machine's base outward. */
  readonly table: string
  readonly head: string
  readonly gauge?: Triple
  readonly spindle?: Triple
}

export function machineOf({ name, axes, table, head, gauge = [0, 0, 0], spindle = [0, 0, 1] }: ChainWish): Machine {
  const joints = (letters: string) => [...letters].map(letter => axes.findIndex(axis => axis.letter === letter))
  return { name, axes, table: joints(table), head: joints(head), spindle: { gauge, axis: spindle }, control }
}

export function linear(letter: string, direction: Triple): Axis {
  return { letter, kind: 'linear', direction, through: [0, 0, 0] }
}

export function rotary(letter: string, direction: Triple, through: Triple = [0, 0, 0]): Axis {
  return { letter, kind: 'rotary', direction, through }
}

const xyz = [linear('X', [1, 0, 0]), linear('Y', [0, 1, 0]), linear('Z', [0, 0, 1])]
const half = Math.SQRT1_2

export const machines = {
  tableTable: machineOf({ name: 'table A, C on it', axes: [...xyz, rotary('A', [-1, 0, 0], [0, 0, -50]), rotary('C', [0, 0, -1])], table: 'AC', head: 'XYZ' }),
  tableTableB: machineOf({ name: 'table B, C on it', axes: [...xyz, rotary('B', [0, 1, 0], [0, 0, -50]), rotary('C', [0, 0, 1])], table: 'BC', head: 'XYZ' }),
  headTable: machineOf({ name: 'head B, table C', axes: [...xyz, rotary('B', [0, 1, 0]), rotary('C', [0, 0, 1])], table: 'C', head: 'XYZB' }),
  forkHead: machineOf({ name: 'fork head, C carries A', axes: [...xyz, rotary('A', [1, 0, 0]), rotary('C', [0, 0, 1])], table: '', head: 'XYZCA' }),
  nutating: machineOf({ name: 'nutating head', axes: [...xyz, rotary('B', [0, half, half]), rotary('C', [0, 0, 1])], table: '', head: 'XYZCB' }),
  movingTable: machineOf({ name: 'table X carries C, head B on Z', axes: [...xyz, rotary('B', [0, 1, 0], [0, 0, 40]), rotary('C', [0, 0, 1], [5, -8, 0])], table: 'XC', head: 'YZB' }),
} as const

/** Any order, any direction: linear axes square to one another, two or three rotary ones anywhere. */
export function randomMachine(random: SeededRandom): Machine {
  const x = random.direction(), y = squareTo(x, random.direction()), z = cross(x, y)
  const through = (): Triple => [random.between(-60, 60), random.between(-60, 60), random.between(-60, 60)]
  const axes = [linear('X', x), linear('Y', y), linear('Z', z), rotary('A', random.direction(), through()), rotary('C', random.direction(), through())]
  if (random.next() < 0.3) axes.push(rotary('B', random.direction(), through()))
  const letters = axes.map(axis => axis.letter)
  for (let i = letters.length - 1; i > 0; i--) {
    const j = random.whole(0, i)
    ;[letters[i], letters[j]] = [letters[j], letters[i]]
  }
  const split = random.whole(0, letters.length)
  return machineOf({
    name: `random chain, table ${letters.slice(0, split).join('')}, head ${letters.slice(split).join('')}`,
    axes, table: letters.slice(0, split).join(''), head: letters.slice(split).join(''), gauge: through(), spindle: random.direction(),
  })
}

export function anyMachine(random: SeededRandom): Machine {
  return random.next() < 0.3 ? randomMachine(random) : random.pick(Object.values(machines))
}

export function cross(a: Triple, b: Triple): Triple {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/** The unit vector of `other` without its part along the unit vector `axis`. */
export function squareTo(axis: Triple, other: Triple): Triple {
  const along = axis[0] * other[0] + axis[1] * other[1] + axis[2] * other[2]
  const rest = other.map((value, k) => value - along * axis[k])
  const length = Math.hypot(...rest)
  // Too nearly parallel: any other direction does.
  if (length < 1e-3) return squareTo(axis, Math.abs(axis[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0])
  return [rest[0] / length, rest[1] / length, rest[2] / length]
}
