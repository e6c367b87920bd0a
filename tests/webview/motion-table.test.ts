import { describe, expect, test } from 'vitest'
import { MotionFlag } from '../../shared/toolpath.ts'
import { allowedIn } from '../../webview/geometry/motion-table.ts'
import { linkInPart, PoseReader, rotaryAxisInPart } from '../../webview/geometry/pose-reader.ts'
import { whiskers } from '../../webview/geometry/whiskers.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { jointsAt, kinematics, programOf } from './motion-samples.ts'

/** Lines 2, 2, 5, 7, 7, 7, 5: a rapid of two legs, and a line that runs again. */
const table = programOf([0, 0, 50], [
  { to: [5, 0, 50], line: 2, seconds: 0.5, flags: MotionFlag.rapid }, { to: [5, 5, 50], line: 2, seconds: 0.5, flags: MotionFlag.rapid },
  { to: [5, 5, 0], line: 5, seconds: 2 }, { to: [6, 5, 0], line: 7, seconds: 0 }, { to: [7, 5, 0], line: 7, seconds: 1 }, { to: [8, 5, 0], line: 7, seconds: 1 },
  { to: [5, 5, 0], line: 5, seconds: 4 },
])

describe('the time of a program', () => {
  test('runs from motion to motion', () => {
    expect(table.duration).toBe(9)
    expect(table.momentAt(0)).toEqual({ motion: 0, t: 0 })
    expect(table.momentAt(0.75)).toEqual({ motion: 1, t: 0.5 })
    expect(table.momentAt(7)).toEqual({ motion: 6, t: 0.5 })
    expect(table.momentAt(99)).toEqual({ motion: 6, t: 1 })
  })

  test.each([1, 2, 3])('there and back is the same place, seed %d', seed => {
    const random = new SeededRandom(seed)
    for (let i = 0; i < 200; i++) {
      const seconds = random.between(0, table.duration)
      expect(table.secondsAt(table.momentAt(seconds))).toBeCloseTo(seconds, 9)
    }
  })

  test('a time that is not a number takes none', () => {
    const odd = programOf([0, 0, 0], [{ to: [1, 0, 0], seconds: NaN }, { to: [2, 0, 0], seconds: Infinity }, { to: [3, 0, 0], seconds: 2 }])
    expect([...odd.ends]).toEqual([0, 0, 2])
  })
})

describe('lines and blocks', () => {
  test('a line leads to the end of its last run, one that moves nothing to that before it', () => {
    expect(table.momentAfterLine(7)).toEqual({ motion: 5, t: 1 })
    expect(table.momentAfterLine(5)).toEqual({ motion: 6, t: 1 })
    expect(table.momentAfterLine(4)).toEqual({ motion: 1, t: 1 })
    expect(table.momentAfterLine(900)).toEqual({ motion: 5, t: 1 })
    expect(table.momentAfterLine(1)).toBeUndefined()
    expect(programOf([0, 0, 0], []).momentAfterLine(3)).toBeUndefined()
  })

  test('steps go from block to block, all motions of one at once', () => {
    const ends: number[] = []
    for (let moment = table.step(undefined, 1); moment !== undefined; moment = table.step(moment, 1)) ends.push(moment.motion)
    expect(ends).toEqual([1, 2, 5, 6])
    expect(table.step({ motion: 3, t: 0.5 }, 1)).toEqual({ motion: 5, t: 1 })
    expect(table.step({ motion: 4, t: 1 }, -1)).toEqual({ motion: 2, t: 1 })
    expect(table.step({ motion: 1, t: 1 }, -1)).toEqual({ motion: 0, t: 0 })
  })

  test('the motions of a range of lines', () => {
    expect(table.motionsOfLines(5, 5)).toEqual({ first: 2, last: 6 })
    expect(table.motionsOfLines(3, 4)).toBeUndefined()
  })
})

test('limits hold from one entry to the next, apart for feed and rapids', () => {
  const limits = [{ motion: 0, feed: [-0.01, 1], rapid: [2, 3] }, { motion: 4, feed: [-0.02, 1], rapid: [5, 6] }]
  expect([0, 3, 4, 90].map(motion => allowedIn(limits, motion, false, 0))).toEqual([-0.01, -0.01, -0.02, -0.02])
  expect(allowedIn(limits, 5, true, 1)).toBe(6)
  expect(allowedIn([], 5, true, 1)).toBeUndefined()
})

describe('poses', () => {
  test('the tool point runs straight under tool-centre control, and its joints put it there', () => {
    const tilted = programOf([0, 0, 0], [{ to: [10, 0, 0], a: -0.2, c: 0.3 }, { to: [10, 20, 5], a: -0.5, c: 1 }])
    const reader = new PoseReader(tilted)
    const pose = reader.at({ motion: 1, t: 0.25 })
    expect(pose?.point.map(one => Number(one.toFixed(9)))).toEqual([10, 5, 1.25])
    // By hand: the tool's base frame in the part is where these joints carry the spindle's link, GAUGE above the tip along the axis.
    const [, , z, origin] = linkInPart(kinematics, 2, pose?.joints ?? [])
    for (let k = 0; k < 3; k++) {
      expect(z[k]).toBeCloseTo(pose?.axis[k] ?? NaN, 9)
      expect(origin[k]).toBeCloseTo((pose?.point[k] ?? NaN) + 100 * (pose?.axis[k] ?? NaN), 9)
    }
  })

  test('a table axis stands still in the frame of what it carries', () => {
    // C carries the part: its axis is the part's Z wherever it stands. A is turned by C as seen from the part.
    const joints = jointsAt([0, 0, 0], 0.4, Math.PI / 2)
    expect(rotaryAxisInPart(kinematics, 4, joints)?.map(one => Number(one.toFixed(9)) + 0)).toEqual([0, 0, -1])
    expect(rotaryAxisInPart(kinematics, 3, joints)?.map(one => Math.abs(Number(one.toFixed(9))))).toEqual([0, 1, 0])
  })

  test('whiskers stand on feed motions alone, as long as asked', () => {
    const lines = whiskers(table, 7)
    expect(lines.length).toBe(5 * 6)
    for (let i = 0; i < lines.length; i += 6) expect(Math.hypot(lines[i + 3] - lines[i], lines[i + 4] - lines[i + 1], lines[i + 5] - lines[i + 2])).toBeCloseTo(7, 4)
  })
})
