import { describe, expect, test } from 'vitest'
import { buildKinematics, jointsForToolPoint, newToolPose, toolPose } from '../../shared/kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Triple } from '../../shared/setup.ts'
import { linear, machineOf, rotary } from '../contact/machines.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// The three families of five-axis machines against their closed forms (Lee and She, Int. J. Adv.
// Manuf. Technol. 13, 1997; Bohez, Int. J. Mach. Tools Manuf. 42, 2002), with 3-4-5 angles so that
// every figure can be checked by hand: the point Q = (10, 20, 30) of the work, rotary axes of the
// table through L = (0, 0, -50), pivot to tool point H = 200.

const Q: Triple = [10, 20, 30], L: Triple = [0, 0, -50], H = 200
const degree = Math.PI / 180
/** asin 0.8 and asin 0.6. */
const steep = 53.130102354156, flat = 36.869897645844
const xyz = [linear('X', [1, 0, 0]), linear('Y', [0, 1, 0]), linear('Z', [0, 0, 1])]
/** The pivot stands H above the tool point. */
const pivot: Triple = [0, 0, H]
const half = Math.SQRT1_2

const rowsOfTables = {
  'table A, C on it': machineOf({ name: '1', axes: [...xyz, rotary('A', [1, 0, 0], L), rotary('C', [0, 0, 1], L)], table: 'AC', head: 'XYZ' }),
  'table A, C on it, signs of ISO 841': machineOf({ name: '7', axes: [...xyz, rotary('A', [-1, 0, 0], L), rotary('C', [0, 0, -1], L)], table: 'AC', head: 'XYZ' }),
  'table B, C on it': machineOf({ name: '2', axes: [...xyz, rotary('B', [0, 1, 0], L), rotary('C', [0, 0, 1], L)], table: 'BC', head: 'XYZ' }),
  'head B, table C': machineOf({ name: '3', axes: [...xyz, rotary('B', [0, 1, 0], pivot), rotary('C', [0, 0, 1])], table: 'C', head: 'XYZB' }),
  'fork head, C carries A': machineOf({ name: '4', axes: [...xyz, rotary('A', [1, 0, 0], pivot), rotary('C', [0, 0, 1], pivot)], table: '', head: 'XYZCA' }),
  'fork head, C carries B': machineOf({ name: '5', axes: [...xyz, rotary('B', [0, 1, 0], pivot), rotary('C', [0, 0, 1], pivot)], table: '', head: 'XYZCB' }),
  'nutating head, C carries B at 45 degrees': machineOf({ name: '6a', axes: [...xyz, rotary('B', [0, half, half], pivot), rotary('C', [0, 0, 1], pivot)], table: '', head: 'XYZCB' }),
} as const

type Row = keyof typeof rowsOfTables

/** Tool axis at these angles, and the X, Y, Z that put the tool point on Q; the gauge point is the tool point. */
function solve(machine: Machine, first: number, second: number, length = 0): { axis: number[], linear: number[] } {
  const k = buildKinematics(machine, [0, 0, 0, 0, 0])
  const joints = Float64Array.of(0, 0, 0, first * degree, second * degree)
  expect(jointsForToolPoint(k, joints, length, ...Q)).toBe(true)
  const pose = newToolPose()
  toolPose(k, joints, length, pose)
  expect([...pose.point]).toEqual(Q.map(value => expect.closeTo(value, 9)))
  return { axis: [...pose.axis], linear: [...joints.subarray(0, 3)] }
}

const close = (values: readonly number[], digits: number) => values.map(value => expect.closeTo(value, digits))

describe('tool axis and linear axes, by hand', () => {
  test.each<[Row, number, number, Triple, Triple]>([
    ['table A, C on it', steep, flat, [0.48, 0.64, 0.6], [-4, -50.8, 15.6]],
    ['table A, C on it', -steep, flat - 180, [0.48, 0.64, 0.6], [4, 50.8, 15.6]],
    ['table A, C on it, signs of ISO 841', steep, 180 - flat, [0.48, 0.64, 0.6], [4, 50.8, 15.6]],
    ['table B, C on it', steep, flat, [-0.64, 0.48, 0.6], [61.6, 22, 1.2]],
    ['head B, table C', steep, flat, [0.64, -0.48, 0.6], [156, 22, -50]],
    ['fork head, C carries A', steep, flat, [0.48, -0.64, 0.6], [106, -108, -50]],
    ['fork head, C carries B', steep, flat, [0.64, 0.48, 0.6], [138, 116, -50]],
  ])('%s at %f and %f degrees', (row, first, second, axis, linearAxes) => {
    const solved = solve(rowsOfTables[row], first, second)
    expect(solved.axis).toEqual(close(axis, 9))
    expect(solved.linear).toEqual(close(linearAxes, 9))
  })

  test.each<[number, number, Triple]>([
    [90, 54.735610317245, [0, 0.866025403784, 0.5]],
    [-90, -54.735610317245, [0, 0.866025403784, 0.5]],
    [78.463040967185, 23.130102354156, [0.48, 0.64, 0.6]],
  ])('nutating head at B %f C %f', (b, c, axis) => {
    const solved = solve(rowsOfTables['nutating head, C carries B at 45 degrees'], b, c)
    expect(solved.axis).toEqual(close(axis, 6))
    // Q + H (i, j, k - 1): the pivot lies on both axes.
    expect(solved.linear).toEqual(close([Q[0] + H * axis[0], Q[1] + H * axis[1], Q[2] + H * (axis[2] - 1)], 3))
  })

  // Tilt and azimuth of the nutating head with C at nought: no more than 90 degrees can be reached.
  test.each([[30, 21.0906, 10.7286], [60, 41.4096, 22.2077], [90, 60, 35.2644], [120, 75.5225, 50.7685], [180, 90, 90]])('nutating head at B %f: tilt %f, azimuth %f', (b, tilt, azimuth) => {
    const { axis: [i, j, k] } = solve(rowsOfTables['nutating head, C carries B at 45 degrees'], b, 0)
    expect(Math.acos(k) / degree).toBeCloseTo(tilt, 4)
    expect(Math.atan2(j, i) / degree).toBeCloseTo(azimuth, 4)
  })

  test('a tool of 80 mm under a spindle nose 120 mm from the pivot is one of 200 mm from the pivot', () => {
    const nose: Triple = [0, 0, H - 80]
    const machine = machineOf({ name: '4', axes: [...xyz, rotary('A', [1, 0, 0], nose), rotary('C', [0, 0, 1], nose)], table: '', head: 'XYZCA' })
    // The gauge point marks the part's zero here, 80 mm above where the tool point stands.
    expect(solve(machine, steep, flat, 80).linear).toEqual(close([106, -108, -50 + 80], 9))
  })
})

describe('the closed forms over the whole range', () => {
  const forms: Record<Row, { axis: (a: number, c: number) => number[], linear: (a: number, c: number, u: readonly number[]) => number[] }> = {
    'table A, C on it': {
      axis: (a, c) => [Math.sin(a) * Math.sin(c), Math.sin(a) * Math.cos(c), Math.cos(a)],
      linear: (a, c) => plus(turnX(a, turnZ(c, minus(Q, L))), L),
    },
    'table A, C on it, signs of ISO 841': {
      axis: (a, c) => [Math.sin(a) * Math.sin(c), -Math.sin(a) * Math.cos(c), Math.cos(a)],
      linear: (a, c) => plus(turnX(-a, turnZ(-c, minus(Q, L))), L),
    },
    'table B, C on it': {
      axis: (b, c) => [-Math.sin(b) * Math.cos(c), Math.sin(b) * Math.sin(c), Math.cos(b)],
      linear: (b, c) => plus(turnY(b, turnZ(c, minus(Q, L))), L),
    },
    'head B, table C': {
      axis: (b, c) => [Math.sin(b) * Math.cos(c), -Math.sin(b) * Math.sin(c), Math.cos(b)],
      linear: (b, c) => plus(turnZ(c, Q), [H * Math.sin(b), 0, H * (Math.cos(b) - 1)]),
    },
    'fork head, C carries A': {
      axis: (a, c) => [Math.sin(a) * Math.sin(c), -Math.sin(a) * Math.cos(c), Math.cos(a)],
      linear: (_a, _c, u) => plus(Q, [H * u[0], H * u[1], H * (u[2] - 1)]),
    },
    'fork head, C carries B': {
      axis: (b, c) => [Math.sin(b) * Math.cos(c), Math.sin(b) * Math.sin(c), Math.cos(b)],
      linear: (_b, _c, u) => plus(Q, [H * u[0], H * u[1], H * (u[2] - 1)]),
    },
    'nutating head, C carries B at 45 degrees': {
      axis: (b, c) => turnZ(c, [Math.sin(b) * half, (1 - Math.cos(b)) / 2, (1 + Math.cos(b)) / 2]),
      linear: (_b, _c, u) => plus(Q, [H * u[0], H * u[1], H * (u[2] - 1)]),
    },
  }

  test.each(Object.keys(forms) as Row[])('%s, seed 61: a hundred pairs of angles', row => {
    const random = new SeededRandom(61)
    for (let i = 0; i < 100; i++) {
      const first = random.between(-180, 180), second = random.between(-400, 400)
      const solved = solve(rowsOfTables[row], first, second)
      const axis = forms[row].axis(first * degree, second * degree)
      expect(solved.axis).toEqual(close(axis, 9))
      expect(solved.linear).toEqual(close(forms[row].linear(first * degree, second * degree, axis), 8))
    }
  })
})

function turnX(a: number, [x, y, z]: readonly number[]): number[] {
  return [x, Math.cos(a) * y - Math.sin(a) * z, Math.sin(a) * y + Math.cos(a) * z]
}

function turnY(b: number, [x, y, z]: readonly number[]): number[] {
  return [Math.cos(b) * x + Math.sin(b) * z, y, Math.cos(b) * z - Math.sin(b) * x]
}

function turnZ(c: number, [x, y, z]: readonly number[]): number[] {
  return [Math.cos(c) * x - Math.sin(c) * y, Math.sin(c) * x + Math.cos(c) * y, z]
}

function plus(a: readonly number[], b: readonly number[]): number[] {
  return a.map((value, k) => value + b[k])
}

function minus(a: readonly number[], b: readonly number[]): number[] {
  return a.map((value, k) => value - b[k])
}
