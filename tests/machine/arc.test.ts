import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { arcOf, degree, run, short, testMachine, testTool } from './run-program.ts'
import type { Run, RunWish } from './run-program.ts'

// Arcs against NISTIR 6556 3.5.3 and plain geometry. The pose in the middle is asked of the same
// evaluation that everything else uses.

/** Tool point at time t of a motion of the test machine, mm. */
function pointAt(result: Run, motion: number, t: number, wish: RunWish = {}): string {
  const machine = testMachine(wish)
  const pose = new MotionPose(buildKinematics(machine, machine.axes.map(() => 0)), result.toolpath, [0])
  pose.begin(motion)
  pose.at(t)
  return [pose.px, pose.py, pose.pz].map(short).join(' ')
}

describe('arcs that are right', () => {
  const cases: readonly [name: string, program: string, motion: string, sweepDegrees: number, middle: string, wish?: RunWish][] = [
    ['quarter turn, counterclockwise', 'G3 X0 Y10 I-10', '2 joint-arc X0 Y10 1.5708s', 90, '7.07107 7.07107 0'],
    ['three quarters, clockwise', 'G2 X0 Y10 I-10', '2 joint-arc X0 Y10 4.71239s', 270, '-7.07107 -7.07107 0'],
    ['3.5.3.2: a full circle ends where it starts', 'G2 X10 Y0 I-10', '2 joint-arc 6.28319s', 360, '-10 0 0'],
    ['a full circle without end point (common practice)', 'G3 I-10', '2 joint-arc 6.28319s', 360, '-10 0 0'],
    ['3.5.17: I J K stay offsets under G90 and G91', 'G91 G3 X-10 Y10 I-10', '2 joint-arc X0 Y10 1.5708s', 90, '7.07107 7.07107 0'],
    ['absolute centres where the machine file says so', 'G3 X0 Y10 I0 J0', '2 joint-arc X0 Y10 1.5708s', 90, '7.07107 7.07107 0', { control: { arcCentre: 'absolute' } }],
    ['3.5.3.1: R > 0 takes the short way', 'G3 X0 Y10 R10', '2 joint-arc X0 Y10 1.5708s', 90, '7.07107 7.07107 0'],
    ['R < 0 takes the long way', 'G3 X0 Y10 R-10', '2 joint-arc X0 Y10 4.71239s', 270, '17.07107 17.07107 0'],
    ['R clockwise', 'G2 X0 Y10 R10', '2 joint-arc X0 Y10 1.5708s', 90, '2.92893 2.92893 0'],
    ['helix: F along the helix', 'G3 X0 Y10 I-10 Z5', '2 joint-arc X0 Y10 Z5 1.64845s', 90, '7.07107 7.07107 2.5'],
    ['G18: Z is first, X second', 'G18 G3 X0 Z10 I-10', '2 joint-arc X0 Z10 4.71239s', 270, '-7.07107 0 -7.07107'],
    ['G18 clockwise, seen from +Y', 'G18 G2 X0 Z10 I-10', '2 joint-arc X0 Z10 1.5708s', 90, '7.07107 0 7.07107'],
  ]
  for (const [name, program, motion, sweep, middle, wish] of cases) {
    test(`${name}: ${program}`, () => {
      const result = run(`G1 X10 F600\n${program}`, wish)
      expect(result.told).toEqual([])
      expect(result.motions[1]).toBe(motion)
      expect(arcOf(result, 1).sweep / degree).toBeCloseTo(sweep, 4)
      expect(pointAt(result, 1, 0.5, wish)).toBe(middle)
    })
  }

  test('3.5.3: rotary axes turn evenly along the arc', () => {
    const result = run('G1 X10 F600\nG3 X0 Y10 I-10 A9')
    const machine = testMachine()
    const pose = new MotionPose(buildKinematics(machine, [0, 0, 0, 0, 0]), result.toolpath, [0])
    const joints = new Float64Array(5)
    pose.begin(1)
    pose.jointsAt(0.25, joints)
    expect([...joints].map(short)).toEqual([short(10 * Math.cos(22.5 * degree)), short(10 * Math.sin(22.5 * degree)), '0', short(2.25 * degree), '0'])
  })

  test('G19: Y is first, Z second', () => {
    const result = run('G1 Y10 F600\nG19 G3 Y0 Z10 J-10')
    expect(result.motions[1]).toBe('2 joint-arc Y0 Z10 1.5708s')
    expect(pointAt(result, 1, 0.5)).toBe('0 7.07107 7.07107')
  })

  test('the record: centre, directions, radii', () => {
    const result = run('G1 X7 Y7 F600\nG17 G2 X10 Y16 I3 J4 Z9')
    // NISTIR 6556 3.5.3.2: centre (10, 11), radius 5; sweep 143.1301 degrees.
    const arc = arcOf(result, 1)
    expect(arc.centre).toEqual([10, 11, 0])
    expect(arc.u).toEqual([-0.6, -0.8, 0])
    expect(arc.v).toEqual([-0.8, 0.6, 0])
    expect([arc.r0, arc.r1]).toEqual([5, 5])
    expect(arc.sweep / degree).toBeCloseTo(143.1301, 4)
    expect(arc.r0 * arc.sweep).toBeCloseTo(12.4905, 4)
    expect(pointAt(result, 1, 1)).toBe('10 16 9')
  })

  test('a full turn of a helix at the feed: r 10, rise 5, F500', () => {
    const result = run('G1 X10 F500\nG3 I-10 Z5')
    expect(result.toolpath.seconds[1]).toBeCloseTo(7.5637, 4)
  })

  // NISTIR 6556 appendix C.1, single arcs (radius 2.5 or 4), worked out by geometry.
  const single: readonly [start: string, arc: string, sweep: number, length: number][] = [
    ['X16 Y2.5', 'G3 X13.5 Y0 I-2.5', 270, 11.781],
    ['X32.5 Y0', 'G2 X32.5 J2.5', 360, 15.708],
    ['X64 Y4', 'G2 X69 R4', 77.3644, 5.401],
    ['X79.5 Y0', 'G2 J2.5 Y5', 180, 7.854],
  ]
  for (const [start, arc, sweep, length] of single) {
    test(`${start}: ${arc}`, () => {
      const result = run(`G1 ${start} F20\n${arc}`)
      expect(result.told).toEqual([])
      const record = arcOf(result, 1)
      expect(record.sweep / degree).toBeCloseTo(sweep, 3)
      expect(record.r0 * record.sweep).toBeCloseTo(length, 3)
    })
  }

  test('G2 X69 R4 from (64, 4): centre and apex', () => {
    const result = run('G1 X64 Y4 F20\nG2 X69 R4')
    expect(arcOf(result, 1).centre[0]).toBeCloseTo(66.5, 6)
    expect(arcOf(result, 1).centre[1]).toBeCloseTo(0.8775, 4)
    expect(pointAt(result, 1, 0.5)).toMatch(/^66\.5 4\.8775/)
  })

  test('NISTIR 6556 table 10: arc by R with a rise', () => {
    const result = run('G20 G1 X3 Y1 F20\nG2 X0 R7.01 Z0.5')
    const record = arcOf(result, 1)
    expect(record.centre[0] / 25.4).toBeCloseTo(1.5, 6)
    expect(record.sweep / degree).toBeCloseTo(24.7114, 4)
    expect(result.toolpath.seconds[1] / 60 * 20).toBeCloseTo(3.0644, 4)
  })

  test('the record is in joint values: work offset and tool length are in it', () => {
    const result = run('G55 G43 H1 G1 X10 Y0 Z0 F600\nG3 X0 Y10 I-10', { setup: { offsets: { G54: {}, G55: { X: 100, Y: 7, Z: 30 } }, tools: [testTool(1, 40)] } })
    expect(arcOf(result, 1).centre).toEqual([100, 7, 70])
  })

  test('with tool-centre control the arc lies in the part frame', () => {
    const result = run('G43.4 G1 X10 A30 C40 F600\nG3 X0 Y10 I-10 A31 C45')
    expect(result.motions[1]).toMatch(/^2 tool-arc .* 1.5708s$/)
    expect(arcOf(result, 1)).toMatchObject({ centre: [0, 0, 0], u: [1, 0, 0], v: [0, 1, 0], r0: 10, r1: 10 })
    expect(pointAt(result, 1, 0.5)).toBe('7.07107 7.07107 0')
    expect(pointAt(result, 1, 1)).toBe('0 10 0')
  })
})

describe('arcs that are not right are told, and something near is simulated', () => {
  const cases: readonly [program: string, told: readonly string[], words: string, motion: string | undefined][] = [
    ['X10.0021 I5', ['arc-radius-mismatch "I5"'], '5 mm from the start but 5.0021 mm from the end', 'joint-arc X10.0021 1.57'],
    ['X10 I3', ['arc-radius-mismatch "I3"'], 'they differ by 4 mm, allowed are 0.002 mm', 'joint-arc X10'],
    ['X10', ['arc-without-centre "G2 X10"'], 'G2 names neither a centre (I, J) nor a radius R', 'joints X10 1s'],
    ['X10 K5', ['arc-without-centre "G2 X10 K5"'], 'neither a centre (I, J)', 'joints X10 1s'],
    ['X10 I0 J0', ['arc-without-centre "I0"'], 'lies on its start point', 'joints X10 1s'],
    ['X0 Y0 R5', ['arc-without-centre "R5"'], 'ends where it starts', undefined],
    ['X10 R4', ['arc-without-centre "R4"'], 'lies 10 mm from the start: no arc of radius 4 mm reaches it', 'joints X10 1s'],
    ['X10 R5', ['arc-near-half-turn "R5"'], 'turns 180°', 'joint-arc X10 1.5708s'],
    ['X10 R5.04', ['arc-near-half-turn "R5.04"'], 'turns 165.55°', 'joint-arc X10'],
    ['X10 R-5.04', ['arc-near-half-turn "R-5.04"'], 'turns 194.45°', 'joint-arc X10'],
    ['X10 R8 I5', ['modal-conflict "R8"'], 'R and I both give', 'joint-arc X10'],
    ['X10 I5 P2', ['not-checked "P2"'], 'several turns', 'joint-arc X10 1.5708s'],
  ]
  for (const [program, told, words, motion] of cases) {
    test(program, () => {
      const result = run(`F600 G2 ${program}`)
      expect(result.told).toEqual(told.map(entry => entry.replace('"G2 ', '"F600 G2 ')))
      expect(result.problems[0].message).toContain(words)
      if (motion === undefined) expect(result.motions).toEqual([])
      else expect(result.motions[0]).toContain(`1 ${motion}`)
    })
  }

  // NISTIR 6556 3.5.3: 0.002 mm or 0.0002 inch; 5.000 against 5.002 still passes.
  const tolerance: readonly [program: string, passes: boolean][] = [
    ['G21 G2 X10.002 I5', true], ['G21 G2 X10.0021 I5', false], ['G20 G2 X10.0002 I5', true], ['G20 G2 X10.00021 I5', false],
    ['G21 G2 X10 R5.06', true], ['G21 G2 X10.0015 R5', false],
  ]
  for (const [program, passes] of tolerance) {
    test(`${program} ${passes ? 'passes' : 'is told'}`, () => {
      expect(run(`F100 ${program}`).told.length === 0).toBe(passes)
    })
  }

  test('a spiral within tolerance ends exactly where the program says', () => {
    const result = run('F600 G2 X10.002 I5')
    expect(arcOf(result, 0)).toMatchObject({ r0: 5, r1: 5.002 })
    expect(pointAt(result, 0, 1)).toBe('10.002 0 0')
  })
})
