import { describe, expect, test } from 'vitest'
import { buildKinematics, jointsForToolPoint, newToolPose, toolPose } from '../../shared/kinematics.ts'
import { RotarySolver } from '../../shared/inverse-kinematics.ts'
import type { Axis, Machine } from '../../shared/machine.ts'
import type { Triple } from '../../shared/setup.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { families, jointOf, jointsOf, loadFamily } from './families.ts'

const degree = Math.PI / 180
const POSES = 100_000

/** A machine of these rotary axes, X Y Z in the head before them; directions by the right-hand rule of the moving body. */
function plain(table: Readonly<Record<string, Triple>>, head: Readonly<Record<string, Triple>>, through: Triple = [0, 0, 0]): Machine {
  const base = loadFamily('table-table-ac').machine
  const axes: Axis[] = base.axes.slice(0, 3).map(axis => ({ ...axis, range: undefined }))
  const add = (set: Readonly<Record<string, Triple>>) => Object.entries(set).map(([letter, direction]) => {
    const length = Math.hypot(...direction)
    return axes.push({ letter, kind: 'rotary', direction: [direction[0] / length, direction[1] / length, direction[2] / length], through }) - 1
  })
  const onTable = add(table), inHead = add(head)
  return { ...base, axes, table: onTable, head: [0, 1, 2, ...inHead], home: undefined }
}

function solver(machine: Machine, base: ArrayLike<number> = new Float64Array(machine.axes.length)) {
  const kinematics = buildKinematics(machine, base)
  return { kinematics, rotary: new RotarySolver(kinematics, machine.axes.map(axis => axis.range)) }
}

/** The ways found, in degrees, by letter. */
function waysOf(machine: Machine, rotary: RotarySolver, u: Triple): Record<string, number>[] {
  rotary.solve(...u)
  return [rotary.first, rotary.second].slice(0, rotary.ways).map(values =>
    Object.fromEntries(rotary.order.map((joint, i) => [machine.axes[joint].letter, values[i] / degree])))
}

// Closed forms of the five usual machines; angles are right-hand turns of the body that turns.
// Lee & She, Int. J. Adv. Manuf. Technol. 13 (1997) 658-665, re-derived: 3-4-5 values worked by hand.
const x: Triple = [1, 0, 0], y: Triple = [0, 1, 0], z: Triple = [0, 0, 1]
const hand: readonly [name: string, machine: Machine, u: Triple, first: Record<string, number>, second: Record<string, number>][] = [
  ['table A carries C', plain({ A: x, C: z }, {}), [0.48, 0.64, 0.6], { A: 53.130102, C: 36.869898 }, { A: -53.130102, C: -143.130102 }],
  ['table B carries C', plain({ B: y, C: z }, {}), [-0.64, 0.48, 0.6], { B: 53.130102, C: 36.869898 }, { B: -53.130102, C: -143.130102 }],
  ['head B, table C', plain({ C: z }, { B: y }), [0.64, -0.48, 0.6], { B: 53.130102, C: 36.869898 }, { B: -53.130102, C: -143.130102 }],
  ['head C carries A', plain({}, { C: z, A: x }), [0.48, -0.64, 0.6], { A: 53.130102, C: 36.869898 }, { A: -53.130102, C: -143.130102 }],
  ['head C carries B', plain({}, { C: z, B: y }), [0.64, 0.48, 0.6], { B: 53.130102, C: 36.869898 }, { B: -53.130102, C: -143.130102 }],
  ['table A carries C, signs of ISO 841', plain({ A: [-1, 0, 0], C: [0, 0, -1] }, {}), [0.48, 0.64, 0.6], { A: 53.130102, C: 143.130102 }, { A: -53.130102, C: -36.869898 }],
  ['nutating head at 45 degrees, 60 degrees of tilt', plain({}, { C: z, B: [0, 1, 1] }), [0, Math.sqrt(0.75), 0.5], { B: 90, C: 54.735610 }, { B: -90, C: -54.735610 }],
]

describe('both ways to hold the axis, against the closed forms', () => {
  test.each(hand)('%s', (_name, machine, u, first, second) => {
    const ways = waysOf(machine, solver(machine).rotary, u)
    expect(ways).toHaveLength(2)
    for (const wanted of [first, second]) {
      const found = ways.some(way => Object.entries(wanted).every(([letter, value]) => Math.abs(way[letter] - value) < 1e-6))
      expect(found, `${JSON.stringify(wanted)} among ${JSON.stringify(ways)}`).toBe(true)
    }
  })

  test('nutating head at 45 degrees: cos B = (k - cos² a) / sin² a', () => {
    const machine = plain({}, { C: z, B: [0, 1, 1] })
    const [way, other] = waysOf(machine, solver(machine).rotary, [0.48, 0.64, 0.6])
    const positive = way.B > 0 ? way : other
    expect(positive.B).toBeCloseTo(78.463041, 5)
    // C = atan2(j, i) - atan2(u0y, u0x) with u0 = (sin B / √2, (1 - cos B) / 2, ·).
    const b = positive.B * degree
    expect(positive.C).toBeCloseTo((Math.atan2(0.64, 0.48) - Math.atan2((1 - Math.cos(b)) / 2, Math.sin(b) / Math.SQRT2)) / degree, 6)
  })

  test('nutating head at 45 degrees, forward: tilt and azimuth of B 30, 60, 90, 120, 180', () => {
    const machine = plain({}, { C: z, B: [0, 1, 1] })
    const kinematics = buildKinematics(machine, new Float64Array(5)), pose = newToolPose()
    const seen = [30, 60, 90, 120, 180].map(b => {
      toolPose(kinematics, jointsOf(machine, { B: b }), 0, pose)
      const [i, j, k] = pose.axis
      return [Math.acos(k) / degree, Math.atan2(j, i) / degree]
    })
    const wanted = [[21.0906, 10.7286], [41.4096, 22.2077], [60, 35.2644], [75.5225, 50.7685], [90, 90]]
    seen.forEach((pair, n) => pair.forEach((value, m) => expect(value).toBeCloseTo(wanted[n][m], 4)))
  })
})

/** The greatest difference between the axis asked for and the one the way's joints give. */
function worstRoundTrip(machine: Machine, seed: number, directionOf: (random: SeededRandom, joints: Float64Array) => number[] | undefined): number {
  const random = new SeededRandom(seed)
  const base = Float64Array.from(machine.axes, axis => axis.kind === 'rotary' ? random.between(-1, 1) : random.between(-100, 100))
  const { kinematics, rotary } = solver(machine, base)
  const joints = new Float64Array(machine.axes.length), pose = newToolPose(), wanted = newToolPose()
  let worst = 0
  for (let n = 0; n < POSES; n++) {
    for (let j = 0; j < joints.length; j++) joints[j] = machine.axes[j].kind === 'rotary' ? random.between(-Math.PI, Math.PI) : random.between(-200, 200)
    const given = directionOf(random, joints)
    toolPose(kinematics, joints, 120, wanted)
    if (given !== undefined) wanted.axis.set(given)
    rotary.solve(wanted.axis[0], wanted.axis[1], wanted.axis[2])
    for (let way = 0; way < rotary.ways; way++) {
      const values = way === 0 ? rotary.first : rotary.second
      rotary.order.forEach((joint, i) => {
        if (!rotary.free[i]) joints[joint] = values[i]
      })
      jointsForToolPoint(kinematics, joints, 120, wanted.point[0], wanted.point[1], wanted.point[2])
      toolPose(kinematics, joints, 120, pose)
      for (let i = 0; i < 3; i++) worst = Math.max(worst, Math.abs(pose.axis[i] - wanted.axis[i]), Math.abs(pose.point[i] - wanted.point[i]) / 1000)
    }
    if (rotary.ways === 0) return Infinity
  }
  return worst
}

describe(`forward after inverse is identity, ${POSES.toLocaleString('en-US')} poses each`, () => {
  test.each(families)('%s, seed 71', name => {
    expect(worstRoundTrip(loadFamily(name).machine, 71, () => undefined)).toBeLessThan(1e-12)
  })

  test.each(families)('%s, as near to the singular direction as 1e-14, seed 72', name => {
    const { machine } = loadFamily(name)
    const tilt = machine.axes.findIndex(axis => axis.kind === 'rotary' && axis.letter !== 'C')
    expect(worstRoundTrip(machine, 72, (random, joints) => {
      joints[tilt] = 10 ** random.between(-14, -1) * random.pick([-1, 1]) + (name.startsWith('nutating') && random.next() < 0.5 ? Math.PI : 0)
      return undefined
    })).toBeLessThan(2e-9)
  })

  test('chains of any two directions and any order, seed 73', () => {
    const random = new SeededRandom(73)
    for (let n = 0; n < 40; n++) {
      const first = random.direction(), second = random.direction()
      const machine = random.pick([plain({ A: first, B: second }, {}), plain({ A: first }, { B: second }), plain({}, { A: first, B: second })])
      expect(worstChain(machine, random, 2500)).toBeLessThan(1e-9)
    }
  })
})

/** Like the round trip above, with the nearest way of `aim`. */
function worstChain(machine: Machine, random: SeededRandom, poses: number): number {
  const { kinematics, rotary } = solver(machine)
  const joints = new Float64Array(machine.axes.length), pose = newToolPose(), wanted = newToolPose()
  let worst = 0
  for (let n = 0; n < poses; n++) {
    for (const joint of kinematics.rotary) joints[joint] = random.between(-9, 9)
    toolPose(kinematics, joints, 0, wanted)
    for (const joint of kinematics.rotary) joints[joint] = random.between(-9, 9)
    const answer = rotary.aim(wanted.axis[0], wanted.axis[1], wanted.axis[2], joints)
    toolPose(kinematics, joints, 0, pose)
    worst = Math.max(worst, answer.miss, ...[0, 1, 2].map(i => Math.abs(pose.axis[i] - wanted.axis[i])))
  }
  return worst
}

describe('which way is taken', () => {
  test('the one nearest to where the machine stands', () => {
    const { machine } = loadFamily('table-table-ac'), { rotary } = solver(machine)
    // 0.48 0.64 0.6 is A53.13 C143.13 or C-36.87 on this machine; A ends at 35.
    const joints = jointsOf(machine, { A: 30, C: 140 })
    expect(rotary.aim(0.48, 0.64, 0.6, joints)).toEqual({ miss: expect.closeTo(0, 12), withinTravel: true })
    expect([joints[3] / degree, joints[4] / degree]).toEqual([expect.closeTo(-53.130102, 5), expect.closeTo(-36.869898, 5)])
  })

  test('with the whole turns of an axis without end', () => {
    const { machine } = loadFamily('table-table-ac'), { rotary } = solver(machine)
    const joints = jointsOf(machine, { A: -50, C: 7170 })
    rotary.aim(0.48, 0.64, 0.6, joints)
    expect(joints[4] / degree).toBeCloseTo(7200 - 36.869898, 5)
  })

  test('a whole turn is kept within the range', () => {
    const { machine } = loadFamily('fork-head-ca'), { rotary } = solver(machine)
    const joints = jointsOf(machine, { A: 50, C: 350 })
    // C36.87 is nearest as C396.87, beyond the end at 360.
    rotary.aim(0.48, -0.64, 0.6, joints)
    expect([joints[jointOf(machine, 'A')] / degree, joints[jointOf(machine, 'C')] / degree]).toEqual([expect.closeTo(-53.130102, 5), expect.closeTo(360 - 143.130102, 5)])
  })

  test('the tilting axis on the side asked for', () => {
    const { machine } = loadFamily('fork-head-ca'), { rotary } = solver(machine)
    for (const [choice, sign] of [['positive', 1], ['negative', -1]] as const) {
      const joints = jointsOf(machine, { A: -sign * 50, C: 0 })
      rotary.aim(0.48, -0.64, 0.6, joints, choice)
      expect(joints[jointOf(machine, 'A')] / degree).toBeCloseTo(sign * 53.130102, 5)
    }
  })

  test('in the singular direction the axis without effect stays where it is', () => {
    const { machine } = loadFamily('table-table-ac'), { rotary } = solver(machine)
    const joints = jointsOf(machine, { A: -20, C: 77 })
    rotary.aim(0, 0, 1, joints)
    expect([joints[3], joints[4] / degree]).toEqual([expect.closeTo(0, 12), expect.closeTo(77, 12)])
  })
})

describe('directions out of reach', () => {
  test('a nutating head of 45 degrees does not look down: the nearest direction is level', () => {
    const machine = plain({}, { C: z, B: [0, 1, 1] }), { rotary } = solver(machine)
    rotary.solve(0.6, 0, -0.8)
    expect(rotary.miss / degree).toBeCloseTo(53.130102, 5)
    expect([...rotary.reached]).toEqual([expect.closeTo(1, 9), expect.closeTo(0, 9), expect.closeTo(0, 9)])
  })

  test('55 degrees reach 110 degrees of tilt', () => {
    const machine = plain({}, { C: z, B: [0, Math.sin(55 * degree), Math.cos(55 * degree)] }), { rotary } = solver(machine)
    rotary.solve(Math.sin(109.9 * degree), 0, Math.cos(109.9 * degree))
    expect(rotary.miss).toBeLessThan(1e-12)
    rotary.solve(Math.sin(111 * degree), 0, Math.cos(111 * degree))
    expect(rotary.miss / degree).toBeCloseTo(1, 9)
  })

  test('one rotary axis: what lies on its cone', () => {
    const machine = plain({ A: x }, {}), { rotary } = solver(machine)
    expect(waysOf(machine, rotary, [0, 0.6, 0.8])).toEqual([{ A: expect.closeTo(36.869898, 5) }])
    rotary.solve(0.6, 0, 0.8)
    expect(rotary.miss / degree).toBeCloseTo(36.869898, 5)
    expect([...rotary.reached]).toEqual([expect.closeTo(0, 9), expect.closeTo(0, 9), expect.closeTo(1, 9)])
  })

  test('no rotary axis: the spindle\'s own direction only', () => {
    const machine = plain({}, {}), { rotary } = solver(machine)
    rotary.solve(0, 0, 2)
    expect([rotary.ways, rotary.miss]).toEqual([1, 0])
    rotary.solve(0, 1, 0)
    expect(rotary.miss / degree).toBeCloseTo(90, 9)
  })

  test('nothing is solved for a direction without length or three rotary axes', () => {
    const { rotary } = solver(loadFamily('table-table-ac').machine)
    rotary.solve(0, 0, 0)
    expect(rotary.ways).toBe(0)
    const three = solver(plain({ A: x, B: y, C: z }, {})).rotary
    expect(three.supported).toBe(false)
    expect(three.aim(0, 0, 1, new Float64Array(6)).withinTravel).toBe(false)
  })

  test('the nearest direction is the nearest of all that the joints give, seed 74', () => {
    const random = new SeededRandom(74)
    for (let n = 0; n < 50; n++) {
      const machine = plain({ A: random.direction() }, { B: random.direction() }), { kinematics, rotary } = solver(machine)
      const u = random.direction(), pose = newToolPose(), joints = new Float64Array(5)
      rotary.solve(...u)
      let least = Math.PI
      for (let m = 0; m < 4000; m++) {
        for (const joint of kinematics.rotary) joints[joint] = random.between(-Math.PI, Math.PI)
        toolPose(kinematics, joints, 0, pose)
        least = Math.min(least, Math.acos(Math.min(1, pose.axis[0] * u[0] + pose.axis[1] * u[1] + pose.axis[2] * u[2])))
      }
      expect(rotary.miss).toBeLessThanOrEqual(least + 1e-9)
    }
  })
})

describe('singular directions', () => {
  test.each(families)('%s: along the rotary axis next to the part', name => {
    const { machine } = loadFamily(name), { rotary } = solver(machine)
    const found = rotary.singularDirections().map(direction => direction.map(value => Math.round(value * 1e9) / 1e9 + 0))
    // A nutating machine of 45 degrees takes the upright only; the others could stand on their head too.
    expect(found.map(direction => Math.abs(direction[2]))).toEqual(name.startsWith('nutating') ? [1] : [1, 1])
    expect(found[0].slice(0, 2)).toEqual([0, 0])
  })

  test('two axes one degree off the upright, a quarter turn apart: 90 degrees of C', () => {
    const { machine } = loadFamily('head-b-table-c'), { rotary } = solver(machine)
    const joints = new Float64Array(5), s = Math.sin(degree), c = Math.cos(degree)
    rotary.aim(s, 0, c, joints)
    const before = joints[4]
    rotary.aim(0, s, c, joints)
    expect(Math.abs(joints[4] - before) / degree).toBeCloseTo(90, 9)
  })
})

describe('how far the axis turns for a turn of the joints', () => {
  test('one degree off the pole: 1/57.3 of the turn of C', () => {
    const { machine } = loadFamily('table-table-ac'), { rotary } = solver(machine)
    expect(rotary.mobility(jointsOf(machine, { A: 1, C: 40 }))).toBeCloseTo(Math.sin(degree), 9)
    expect(rotary.mobility(jointsOf(machine, { A: 90, C: 40 }))).toBeCloseTo(1, 9)
  })

  test('a nutating head lying flat turns its tool one way only', () => {
    const { machine } = loadFamily('nutating-head'), { rotary } = solver(machine)
    expect(rotary.mobility(jointsOf(machine, { B: 180, C: 20 }))).toBeLessThan(1e-7)
    expect(rotary.mobility(jointsOf(machine, { B: 90, C: 20 }))).toBeGreaterThan(0.4)
  })

  test('it is the least ratio of all proportions, by differences, seed 75', () => {
    const random = new SeededRandom(75)
    for (let n = 0; n < 30; n++) {
      const machine = plain({ A: random.direction() }, { B: random.direction() }), { kinematics, rotary } = solver(machine)
      const joints = Float64Array.from(machine.axes, () => random.between(-3, 3)), a = newToolPose(), b = newToolPose()
      toolPose(kinematics, joints, 0, a)
      let least = Infinity
      for (let m = 0; m < 720; m++) {
        const way = m / 720 * Math.PI, moved = joints.slice()
        moved[rotary.order[0]] += 1e-6 * Math.cos(way)
        moved[rotary.order[1]] += 1e-6 * Math.sin(way)
        toolPose(kinematics, moved, 0, b)
        least = Math.min(least, Math.hypot(...[0, 1, 2].map(i => b.axis[i] - a.axis[i])) / 1e-6)
      }
      expect(rotary.mobility(joints)).toBeCloseTo(least, 2)
    }
  })
})

// A cone finished along its generatrix: half apex t, the cone's axis leant by b. Tilts run from |t - b| to
// t + b; C goes round when t > b, swings by 2 asin(sin t / sin b) when t < b, jumps by 180 degrees when t = b.
describe('one lap of a leaning cone on the table A with C', () => {
  const lap = (t: number, b: number) => {
    const { machine } = loadFamily('table-table-ac'), { rotary } = solver({ ...machine, axes: machine.axes.map(axis => ({ ...axis, range: undefined })) })
    const steps = 7200, joints = new Float64Array(5), tilts: number[] = [], turns: number[] = []
    for (let n = 0; n <= steps; n++) {
      const around = (n / steps + 0.5 / steps) * 2 * Math.PI
      const [x, y, z] = [Math.sin(t * degree) * Math.cos(around), Math.sin(t * degree) * Math.sin(around), Math.cos(t * degree)]
      rotary.aim(x, y * Math.cos(b * degree) - z * Math.sin(b * degree), y * Math.sin(b * degree) + z * Math.cos(b * degree), joints, 'positive')
      tilts.push(joints[3] / degree)
      turns.push(joints[4] / degree)
    }
    const rates = turns.slice(1).map((value, n) => Math.abs(value - turns[n]) / (360 / steps))
    return { least: Math.min(...tilts), most: Math.max(...tilts), span: Math.max(...turns) - Math.min(...turns), net: turns[steps] - turns[0], peak: Math.max(...rates) }
  }

  test.each([[15, 10, 2.970], [45, 30, 2.732]])('half apex %d, leant by %d: a full turn of C', (t, b, peak) => {
    const { least, most, span, net, peak: found } = lap(t, b)
    expect([least, most]).toEqual([expect.closeTo(t - b, 2), expect.closeTo(t + b, 2)])
    expect([Math.abs(net), span]).toEqual([expect.closeTo(360, 1), expect.closeTo(360, 1)])
    expect(found).toBeCloseTo(peak, 2)
  })

  test('half apex 10, leant by 15: C swings by 84.277 degrees', () => {
    const { least, most, span, net, peak } = lap(10, 15)
    expect([least, most]).toEqual([expect.closeTo(5, 2), expect.closeTo(25, 2)])
    expect(span).toBeCloseTo(84.277, 2)
    expect(net).toBeCloseTo(0, 6)
    expect(peak).toBeCloseTo(1.992, 2)
  })

  test('half apex 10, leant by 10: through the upright, where C jumps', () => {
    const { least, most, peak } = lap(10, 10)
    expect([least, most]).toEqual([expect.closeTo(0, 1), expect.closeTo(20, 2)])
    expect(peak * 0.05).toBeGreaterThan(175)
  })
})
