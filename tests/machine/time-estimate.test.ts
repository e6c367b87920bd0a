import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import { estimateSeconds, restToRest } from '../../server/engine/machine/time-estimate.ts'
import { testMachine } from './run-program.ts'
import type { MachineWish } from './run-program.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// Closed forms: s = v²/(2a) from rest to v, s = a t²/2. Rapid 100 mm/s and 90 degrees/s;
// here every linear axis has 1 m/s² = 1000 mm/s² and every rotary one 360 degrees/s².

const degree = Math.PI / 180

function estimate(text: string, wish: MachineWish & { readonly acceleration?: number | undefined, readonly maxFeed?: number } = {}): number {
  const plain = testMachine(wish)
  const acceleration = 'acceleration' in wish ? wish.acceleration : 1
  const machine = {
    ...plain,
    axes: plain.axes.map(axis => axis.kind === 'rotary'
      ? { ...axis, acceleration: acceleration === undefined ? undefined : 360 * degree }
      : { ...axis, acceleration, maxFeed: wish.maxFeed }),
  }
  const kinematics = buildKinematics(machine, new Float64Array(machine.axes.length))
  const { toolpath } = interpret(text, { machine, setup: undefined, kinematics, report: () => undefined })
  return estimateSeconds(toolpath, machine, kinematics, [])
}

/** Speed that every axis may change by at a corner: √(8 · 1000 mm/s² · 0.01 mm). */
const corner = Math.sqrt(80)

describe('one move from rest to rest', () => {
  test.each([
    ['long enough to reach the feed: s/v + v/a', 'G1 X100 F3000', 100 / 50 + 50 / 1000],
    ['too short: 2 √(s/a)', 'G1 X1 F6000', 2 * Math.sqrt(1 / 1000)],
    ['just long enough: s = v²/a', 'G1 X2.5 F3000', 0.1],
    ['a diagonal has √2 of the axes\' acceleration', 'G1 X30 Y30 F3000', 30 * Math.SQRT2 / 50 + 50 / (1000 * Math.SQRT2)],
    ['3-4-5: the axis with the greater part holds it back', 'G1 X30 Y40 F3000', 50 / 50 + 50 / (1000 / 0.8)],
    ['a rotary axis: F in degrees a minute', 'G1 C90 F2700', 90 / 45 + 45 / 360],
    ['a rapid of one axis', 'G0 X50', 50 / 100 + 100 / 1000],
    ['a rapid: every axis for itself, the slowest counts', 'G0 X50 Y20 C90', 90 / 90 + 90 / 360],
    ['inverse time: the block takes 1/F minutes and its ramps', 'G93 G1 X100 F30', 2 + 50 / 1000],
  ])('%s', (_name, program, seconds) => {
    expect(estimate(program)).toBeCloseTo(seconds, 6)
  })

  test('a straight rapid is coordinated', () => {
    // 50 mm and 90 degrees together: the pace of C (1/s), its acceleration 4/s² below X's 20/s².
    expect(estimate('G0 X50 C90', { control: { rapid: 'straight' } })).toBeCloseTo(1 + 1 / 4, 6)
  })

  test('the feed is held to what the axis has', () => {
    expect(estimate('G1 X100 F3000', { maxFeed: 20 })).toBeCloseTo(100 / 20 + 20 / 1000, 6)
  })

  test('without accelerations: the programmed time', () => {
    expect(estimate('G1 X100 F3000\nY100\nG0 X0', { acceleration: undefined })).toBeCloseTo(2 + 2 + 1, 6)
  })
})

describe('runs of moves', () => {
  test('a straight line in a thousand blocks takes as long as in one', () => {
    const blocks = Array.from({ length: 1000 }, (_, n) => `X${((n + 1) * 0.1).toFixed(1)}`)
    expect(estimate(`G1 F3000\n${blocks.join('\n')}`)).toBeCloseTo(100 / 50 + 50 / 1000, 6)
  })

  test('a square corner is passed at √(8 a e)', () => {
    // Each leg: from rest to the feed, and down to the corner's speed; the second the other way round.
    const leg = 50 / 1000 + (50 - corner) / 1000 + (50 - 1.25 - (2500 - 80) / 2000) / 50
    expect(estimate('G1 X50 F3000\nY50')).toBeCloseTo(2 * leg, 6)
  })

  test('a turn by 180 degrees halves the change each way', () => {
    const leg = 50 / 1000 + (50 - corner / 2) / 1000 + (50 - 1.25 - (2500 - 20) / 2000) / 50
    expect(estimate('G1 X50 F3000\nX0')).toBeCloseTo(2 * leg, 6)
  })

  test('a rapid in between is a stop', () => {
    expect(estimate('G1 X50 F3000\nG0 X60\nG1 X110')).toBeCloseTo(2 * (50 / 50 + 0.05) + 2 * Math.sqrt(10 / 1000), 6)
  })

  test('brakes over several short blocks: the corner is seen in time', () => {
    const blocks = Array.from({ length: 100 }, (_, n) => `X${((n + 1) * 0.5).toFixed(1)}`)
    expect(estimate(`G1 F3000\n${blocks.join('\n')}\nY50`)).toBeCloseTo(estimate('G1 X50 F3000\nY50'), 6)
  })

  test('a full circle at the speed its radius allows: v² = a r', () => {
    // r = 0.4: √(1000 · 0.4) = 20 mm/s although 100 mm/s are programmed; the ramps add v/a.
    const seconds = estimate('G2 X0 I0.4 F6000')
    expect(seconds).toBeGreaterThan(2 * Math.PI * 0.4 / 20)
    expect(seconds).toBeLessThan(2 * Math.PI * 0.4 / 20 * 1.15 + 0.02)
  })

  test('tool-centre control: the linear axes that follow the table hold it back', () => {
    // The point 200 mm out stands still on the part; at 30 degrees/s X and Y run 104.7 mm/s, 10 are allowed.
    const seconds = estimate('G1 X200 F6000\nG43.4\nC90 F1800', { maxFeed: 10 })
    expect(seconds).toBeGreaterThan(20 + Math.PI / 2 * 200 / 10 * 0.9)
    expect(seconds).toBeLessThan(20 + Math.PI / 2 * 200 / 10 * 1.1 + 1)
  })

  test('never less than the feeds ask, never less for a slower machine, seed 91', () => {
    const random = new SeededRandom(91)
    for (let n = 0; n < 60; n++) {
      const blocks = Array.from({ length: 40 }, () => `${random.pick(['G1', 'G1', 'G0'])} X${random.between(-40, 40).toFixed(3)} Y${random.between(-40, 40).toFixed(3)} C${random.between(-90, 90).toFixed(2)}`)
      const text = `${random.pick(['', 'G43.4 H0\n'])}F${random.whole(200, 6000)}\n${blocks.join('\n')}`
      const none = estimate(text, { acceleration: undefined }), slow = estimate(text, { acceleration: 0.5 }), quick = estimate(text, { acceleration: 5 })
      expect(quick).toBeGreaterThanOrEqual(none - 1e-6)
      expect(slow).toBeGreaterThanOrEqual(quick - 1e-9)
      expect(Number.isFinite(slow)).toBe(true)
    }
  })
})

test('from rest to rest: both cases meet where the way just suffices', () => {
  expect(restToRest(2.5, 50, 1000)).toBeCloseTo(0.1, 12)
  expect(restToRest(2.5 - 1e-9, 50, 1000)).toBeCloseTo(0.1, 9)
  expect(restToRest(0, 50, 1000)).toBe(0)
})
