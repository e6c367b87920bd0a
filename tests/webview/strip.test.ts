import { describe, expect, test } from 'vitest'
import { MotionFlag, MotionKind } from '../../shared/toolpath.ts'
import { lanesOf } from '../../webview/geometry/lanes.ts'
import type { PathArrays } from '../../webview/geometry/path-geometry.ts'
import { Series } from '../../webview/geometry/series.ts'
import { bent, holding, shifted, ticksOf, zoomed } from '../../webview/geometry/strip-scale.ts'
import { laneFigure, valueText } from '../../webview/lane-words.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { programOf } from './motion-samples.ts'

describe('least and greatest of a run', () => {
  test.each([1, 2, 3, 4])('are those of the slow way, gaps left out, seed %d', seed => {
    const random = new SeededRandom(seed)
    const values = Float32Array.from({ length: random.whole(1, 9000) }, () => random.next() < 0.2 ? NaN : random.next() < 0.05 ? Infinity : random.between(-5, 5))
    const series = new Series(values)
    for (let i = 0; i < 300; i++) {
      const first = random.whole(0, values.length - 1), last = random.whole(first, values.length - 1)
      const known = values.slice(first, last + 1).filter(value => !Number.isNaN(value))
      const slow = known.length === 0 ? undefined : [known.reduce((a, b) => Math.min(a, b)), known.reduce((a, b) => Math.max(a, b))]
      expect(series.extent(first, last), `${first} to ${last} of ${values.length}`).toEqual(slow)
    }
  })

  test('of nothing are not known', () => {
    expect(new Series(new Float32Array(0)).extent(0, 5)).toBeUndefined()
    expect(new Series(Float32Array.of(NaN, NaN)).extent(0, 1)).toBeUndefined()
  })
})

describe('the window', () => {
  const whole = { from: 0, to: 1000 }

  test('zooms about a place, which stays where it is', () => {
    const { from, to } = zoomed(whole, 4, 0.25, 1000)
    expect(to - from).toBe(250)
    expect(from + 0.25 * (to - from)).toBeCloseTo(250, 9)
  })

  test('never leaves the program and never closes', () => {
    expect(zoomed(whole, 1 / 4, 0.5, 1000)).toEqual(whole)
    expect(shifted({ from: 900, to: 1000 }, 500, 1000)).toEqual({ from: 900, to: 1000 })
    let window = whole
    for (let i = 0; i < 40; i++) window = zoomed(window, 2, 0.9, 1000)
    expect(window.to - window.from).toBe(4)
    expect(zoomed({ from: 0, to: 2 }, 2, 0.5, 2)).toEqual({ from: 0, to: 2 })
  })

  test('follows the moment only when it would leave', () => {
    expect(holding({ from: 100, to: 200 }, 150, 1000)).toEqual({ from: 100, to: 200 })
    expect(holding({ from: 100, to: 200 }, 700, 1000)).toEqual({ from: 650.5, to: 750.5 })
    expect(holding({ from: 100, to: 200 }, 3, 1000)).toEqual({ from: 0, to: 100 })
  })
})

test('the scale of clearances keeps signs and order, and shows hundredths beside millimetres', () => {
  const values = [-1, -0.03, -0.01, 0, 0.01, 0.15, 1, 5]
  const places = values.map(value => bent(value, 'near'))
  expect([...places].sort((a, b) => a - b)).toEqual(places)
  expect((bent(0.01, 'near') - bent(0, 'near')) / (bent(5, 'near') - bent(0, 'near'))).toBeGreaterThan(0.05)
  expect(ticksOf(-0.2, 3, 'near')).toEqual([-0.1, -0.01, 0, 0.01, 0.1, 1])
  expect(ticksOf(-300, 300, 'linear').map(tick => tick + 0)).toEqual([-200, 0, 200])
})

describe('lanes', () => {
  // 10 mm in 2 s with tool-centre control; then the joints alone: X by 3, Y by 4 in 0.5 s; then C by a quarter turn in a tenth.
  const table = programOf([0, 0, 0], [
    { to: [10, 0, 0], seconds: 2 }, { to: [13, 4, 0], seconds: 0.5, kind: MotionKind.joints }, { to: [13, 4, 0], c: Math.PI / 2, seconds: 0.1, kind: MotionKind.toolLine },
    { to: [0, 0, 80], c: Math.PI / 2, seconds: 1, flags: MotionFlag.rapid },
  ])
  const path: PathArrays = {
    positions: Float32Array.of(0, 0, 0, 10, 0, 0, 13, 4, 0, 13, 4, 0, 0, 0, 80), lines: Uint32Array.of(0, 0, 1, 2, 3), flags: Uint8Array.of(2, 0, 0, 0, 1), motions: Uint32Array.of(0, 0, 1, 2, 3),
  }

  test('feed: the way over the part by the time, and F the same where nothing turns; rapids have none', () => {
    const [feed, load] = lanesOf('feed', table, path, undefined)
    expect([...feed.series.values]).toEqual([5, 10, 0, NaN])
    expect(feed.second?.values[0]).toBeCloseTo(5, 5)
    expect(feed.second?.values[1]).toBeCloseTo(10, 5)
    // C may turn 14,400 degrees a minute; a quarter turn in a tenth of a second is 54,000.
    expect(load.series.values[2]).toBeGreaterThan(54000 / 14400 - 1e-6)
    expect(load.limits).toEqual([1])
  })

  test('axes: joint values at the end of each motion, with their travel', () => {
    const lanes = lanesOf('axes', table, path, undefined)
    expect(lanes.map(({ label }) => label)).toEqual(['X', 'Y', 'Z', 'A', 'C'])
    expect([...lanes[4].series.values].map(value => Number((value * 180 / Math.PI).toFixed(3)))).toEqual([0, 0, 90, 90])
    expect(lanes[0].limits).toEqual([-300, 300])
  })

  test('rates: held against the feed limit, or the rapid one in rapids', () => {
    const lanes = lanesOf('rates', table, path, undefined)
    expect(lanes[0].series.values[1]).toBeCloseTo(6, 5)
    expect(lanes[0].limitAt?.(1)).toBeCloseTo(10000 / 60, 9)
    expect(lanes[0].limitAt?.(3)).toBeCloseTo(24000 / 60, 9)
  })

  test('clearance: none before the search has ended; then in words, with limit', () => {
    expect(lanesOf('clearance', table, path, undefined)).toEqual([])
    const value = Float32Array.of(-0.031, 1, 2, Infinity, 0, 0, 0, 0, 0, 0, 0, 0, NaN, NaN, NaN, NaN)
    const lanes = lanesOf('clearance', table, path, { value, certified: value, limits: [{ motion: 0, feed: [-0.01, 0.15, 0.15, 1], rapid: [1, 1, 1, 1] }] })
    expect(laneFigure(lanes, table, 0, 1)).toBe('Line 1, motion 1 of 4: cutter -0.031 mm (limit -0.010 mm); neck 1.000 mm (limit 0.150 mm); shank 2.000 mm (limit 0.150 mm); holder beyond the search (limit 1.000 mm)')
    expect(laneFigure(lanes, table, 3, 25.4)).toContain('cutter not known (limit 0.0394 in)')
  })

  test('figures in the units of the shop', () => {
    expect([valueText(10, 'feed', 1), valueText(10, 'feed', 25.4), valueText(Math.PI, 'angle', 1), valueText(0.5, 'ratio', 1)]).toEqual(['600 mm/min', '23.6 in/min', '180.000°', '50 %'])
  })
})
