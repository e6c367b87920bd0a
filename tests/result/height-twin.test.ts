import { afterAll, describe, expect, test } from 'vitest'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import { heightEpsilon, heightReach } from '../../server/engine/geometry/tolerance.ts'
import { certifiedHeight } from '../../server/engine/result/height-figures.ts'
import { distanceAt } from '../harness/brute-force.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import type { TwinPose } from '../harness/twin-machine.ts'
import type { TwinSolid } from '../harness/twin-solid.ts'
import { randomCase } from '../contact/random-case.ts'
import type { shapes } from '../contact/random-tool.ts'
import { measure } from './heights.ts'

// Heights against a twin that shares no code with the engine: dense moments, and at each the line
// walked from below in steps of the signed distance. What the twin finds is attained, so a place of the
// twin's below the certified height is a false negative; and the engine's own height has to be attained
// at some moment, by the twin's measure.

/** Cutters that are one convex body: there the twin knows what belongs together on a line. */
const whole: readonly typeof shapes[number][] = ['ball', 'flat', 'bull', 'taper', 'drill']
const testCount = Number(process.env['HEIGHT_TESTS'] ?? 3)
const firstSeed = Number(process.env['HEIGHT_SEED'] ?? 40_000)
const casesPerTest = 25
/** Samples of a mesh that are looked at by the twin. */
const looked = 8
const moments = 160
/** mm. Arithmetic of both sides. */
const rounding = 1e-7

const seen = { lines: 0, left: 0, cut: 0, unreached: 0, falseNegatives: 0, wide: 0 }

describe('heights against brute force', () => {
  for (let n = 0; n < testCount; n++) {
    const seed = firstSeed + n
    test(`seed ${seed}: ${casesPerTest} random motions, tools and meshes`, () => {
      expect(Array.from({ length: casesPerTest }, (_, i) => checkCase(seed * 1000 + i)).flat()).toEqual([])
    })
  }

  // These motions are far wilder than programs; where a line grazes the cutter or a long one enters it, time is not cut finely enough.
  test('heights, cuts and lines out of reach were all among them, and few intervals are much wider than asked for', () => {
    expect(Math.min(seen.left, seen.cut, seen.unreached)).toBeGreaterThan(seen.lines / 50)
    expect(seen.wide).toBeLessThan(seen.lines / 50)
  })

  afterAll(() => console.table([seen]))
})

function checkCase(seed: number): string[] {
  const random = new SeededRandom(seed)
  const job = randomCase(random, { shape: random.pick(whole), component: 'cutter' })
  const { toolpath } = job.input, length = gaugeLength(job.tool)
  const cutting = Array.from({ length: toolpath.count }, (_, i) => i).filter(i => (toolpath.flags[i] & MotionFlag.rapid) === 0)
  const { samples, figures } = measure(job.input, job.corners, 3)
  const faults: string[] = []
  for (let k = 0; k < Math.min(looked, samples.count); k++) {
    const i = random.whole(0, samples.count - 1)
    const say = (what: string) => faults.push(`case ${seed}, sample ${i}: ${what} [${job.name}]`)
    const value = figures.value[i], certified = certifiedHeight(figures, i, heightEpsilon)
    seen.lines++
    if (certified > value) say(`certified ${certified} above ${value}`)
    if (value - certified > 10 * heightEpsilon) seen.wide++
    const line = (s: number): [number, number, number] => [0, 1, 2].map(n => samples.points[i * 3 + n] + s * samples.normals[i * 3 + n]) as [number, number, number]
    for (const motion of cutting) {
      const lowest = twinLowest(job.solids.cutter, t => job.twin.poseAt(toolpath, motion, length, t), line)
      if (lowest < certified - rounding) {
        seen.falseNegatives++
        say(`brute force comes to ${lowest} in motion ${motion}, certified is ${certified}, value ${value}`)
      }
    }
    if (figures.motion[i] < 0) {
      seen.unreached++
      if (value !== heightReach) say(`no motion, yet a height of ${value}`)
      continue
    }
    if (value > 0) seen.left++
    else seen.cut++
    const attained = nearestMoment(t => distanceAt(job.solids.cutter, job.twin.poseAt(toolpath, figures.motion[i], length, t), ...line(value)))
    if (attained > 1e-6) say(`the height ${value} is ${attained} away from the cutter`)
  }
  return faults
}

/** Lowest s on the line that the solids reach at dense moments, of those moments at which they also reach s ≥ 0. */
function twinLowest(solids: readonly TwinSolid[], poseAt: (t: number) => TwinPose, line: (s: number) => [number, number, number]): number {
  let lowest = Infinity
  for (let m = 0; m <= moments; m++) {
    const pose = poseAt(m / moments)
    const f = (s: number) => distanceAt(solids, pose, ...line(s))
    // The distance shrinks no faster than one goes: steps as long as it never pass over the solid.
    const walk = (from: number) => {
      let s = from
      for (let step = 0; step < 400 && s < heightReach; step++) {
        const d = f(s)
        if (d <= 1e-8) return s
        s += d
      }
      return Infinity
    }
    const at = walk(f(0) <= 0 ? -heightReach : 0)
    // Inside by the walk's own tolerance: a little higher it has to be inside for sure.
    if (at < lowest && f(at + 1e-6) <= 0) lowest = at + 1e-6
  }
  return lowest
}

/** The least of a function of time over dense moments, each of the best followed by golden sections. */
function nearestMoment(f: (t: number) => number): number {
  const values = Array.from({ length: 401 }, (_, i) => ({ t: i / 400, value: f(i / 400) })).sort((a, b) => a.value - b.value)
  return Math.min(...values.slice(0, 6).map(({ t }) => golden(f, Math.max(0, t - 1 / 400), Math.min(1, t + 1 / 400))))
}

function golden(f: (t: number) => number, from: number, to: number): number {
  const ratio = (Math.sqrt(5) - 1) / 2
  let low = from, high = to
  for (let i = 0; i < 60; i++) {
    const a = high - ratio * (high - low), b = low + ratio * (high - low)
    if (f(a) < f(b)) high = b
    else low = a
  }
  return f((low + high) / 2)
}
