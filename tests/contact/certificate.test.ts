import { afterAll, describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { components, type Component } from '../../shared/finding.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag, type Toolpath } from '../../shared/toolpath.ts'
import { FIGURES_PER_MOTION } from '../../server/engine/contact/contact-figures.ts'
import { MotionSearcher } from '../../server/engine/contact/search-motions.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { distanceAt, isOnMesh, smallestDistance } from '../harness/brute-force.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import type { TwinPose } from '../harness/twin-machine.ts'
import { epsilon, limits, randomCase, type Taste } from './random-case.ts'

// The engine's certified figures against the brute-force twin. Whatever the twin finds is attained, so
// a figure of the twin below `certified` is a false negative, however coarsely the twin samples; and
// the engine's own value is worked out again by the twin at the moment and place the engine names.
// The table at the end is that of the large-scale study of continuous collision detection
// (Wang et al., ACM Transactions on Graphics 40(5) 188, 2021).

const casesPerTest = 60
/** 10 tests of 60 cases, some 4,000 queries; more with CERTIFICATE_TESTS, other ones with CERTIFICATE_SEED. */
const testCount = Number(process.env['CERTIFICATE_TESTS'] ?? 10)
const firstSeed = Number(process.env['CERTIFICATE_SEED'] ?? 20_000)

/** mm. Rounding of the twin's and the engine's arithmetic for bodies within a few hundred mm. */
const rounding = 1e-7
/** mm. The place of a figure is kept in float32, its moment too. */
const kept = 2e-4
/** mm. That, and what the twin's golden sections leave of a triangle. */
const onMesh = 1e-3

/** Counts of one component: `wide` where the search gave up with a wider interval than asked for, `notSeen` where the twin sampled past what the engine found. */
const row = { queries: 0, found: 0, falseNegatives: 0, falsePositives: 0, open: 0, wide: 0, notSeen: 0 }
const rows = Object.fromEntries(components.map(name => [name, { ...row }])) as Record<Component, typeof row>
let engineSeconds = 0, motionCount = 0

describe('the certificate against brute force', () => {
  for (let n = 0; n < testCount; n++) {
    const seed = firstSeed + n
    test(`seed ${seed}: ${casesPerTest} random motions, tools and meshes`, () => {
      expect(Array.from({ length: casesPerTest }, (_, i) => checkCase(seed * 1000 + i)).flat()).toEqual([])
    })
  }

  // The search knows a ball's curvature by itself; these ways are the most curved.
  const ballOnCurves: Taste = { shape: 'ball', component: 'cutter', motions: ['joint arc', 'tool arc', 'swing', 'joints'], meshes: ['patch', 'field', 'ball'] }
  test.each([firstSeed + 5000, firstSeed + 5001])(`seed %i: ${casesPerTest} balls on curved ways`, seed => {
    expect(Array.from({ length: casesPerTest }, (_, i) => checkCase(seed * 1000 + i, ballOnCurves)).flat()).toEqual([])
  })

  const sum = (key: keyof typeof row) => components.reduce((total, name) => total + rows[name][key], 0)

  // These cases are far wilder than programs: whole turns in a block, facets a hundred times the tool, slivers.
  test('few searches give up with a wider interval than asked for', () => {
    expect(sum('wide') / sum('found')).toBeLessThan(0.01)
  })

  afterAll(() => {
    console.table({ ...rows, all: Object.fromEntries((Object.keys(row) as (keyof typeof row)[]).map(key => [key, sum(key)])) })
    console.log(`${motionCount} motions, ${(engineSeconds / motionCount * 1e6).toFixed(0)} µs each for the whole assembly`)
  })
})

function checkCase(seed: number, taste?: Taste): string[] {
  const job = randomCase(new SeededRandom(seed), taste), { input, corners, twin, solids, tool } = job
  const { toolpath } = input, length = gaugeLength(tool)
  const searcher = new MotionSearcher(input, buildMeshTree(corners, false).tree, neverCancelled)
  const before = performance.now()
  const figures = searcher.searchRun(0, toolpath.count)
  engineSeconds += (performance.now() - before) / 1000
  motionCount += toolpath.count
  const faults: string[] = []
  for (let motion = 0; motion < toolpath.count; motion++) {
    const poseAt = (t: number) => twin.poseAt(toolpath, motion, length, t)
    const rapid = isRapid(toolpath, motion)
    components.forEach((component, c) => {
      const pieces = solids[component]
      if (pieces.length === 0) return
      const at = motion * FIGURES_PER_MOTION + c, count = rows[component]
      const value = figures.value[at], certified = figures.certified[at], time = figures.time[at]
      const found = value < Infinity, wanted = limitOf(component, rapid)
      const say = (what: string) => faults.push(`case ${seed}, motion ${motion}, ${component}: ${what} [${job.name}]`)
      count.queries++
      if (found) {
        count.found++
        const [x, y, z] = figures.point.subarray(at * 3, at * 3 + 3)
        const again = distanceAt(pieces, poseAt(time), x, y, z)
        if (Math.abs(again - value) > kept) say(`the value ${value} at t ${time} is ${again}`)
        if (!isOnMesh(corners, x, y, z, onMesh)) say(`the place ${x} ${y} ${z} does not lie on the mesh`)
        if (certified > value + rounding) say(`certified ${certified} above the value ${value}`)
        if (value - certified > epsilon + 1e-8) count.wide++
      } else if (certified < wanted) say(`nothing found, yet not certified beyond ${certified}`)
      // The cutter's figure of a rapid that leaves the cut is that of the time after.
      const leaves = component === 'cutter' && rapid && motion > 0 && !isRapid(toolpath, motion - 1)
      const after = leaves ? timeOfLeaving(poseAt) : 0
      const seenFrom = (from: number, cap: number) => smallestDistance(pieces, corners, t => poseAt(from + (1 - from) * t), cap,
        { moments: 17, refined: 1, also: found ? [time, time - 0.01, time + 0.01] : [] })
      // Nothing above the value (or the certified figure, where nothing was found) can speak against the engine.
      const nearest = seenFrom(after, found ? value + 2 * epsilon : certified + 0.01)
      if (nearest.value < certified - rounding) {
        count.falseNegatives++
        say(`brute force finds ${nearest.value} at t ${nearest.time}, certified is ${certified}, value ${value}`)
      }
      if (leaves && certified > -limits.gouge) {
        const whole = seenFrom(0, -limits.gouge)
        if (whole.value < -limits.gouge - rounding) {
          count.falseNegatives++
          say(`leaves the cut ${whole.value} deep at t ${whole.time}, certified is ${certified}`)
        }
      }
      if (found && !leaves && nearest.value > value + epsilon) count.notSeen++
      if (value < wanted && Math.min(nearest.value, value + epsilon) > wanted + epsilon) count.falsePositives++
      if (certified < wanted && value >= wanted) count.open++
    })
  }
  return faults
}

function isRapid(toolpath: Toolpath, motion: number): boolean {
  return (toolpath.flags[motion] & MotionFlag.rapid) !== 0
}

/** The first moment at which the tool point is twice the rapid clearance away from where the motion started; 1 where it never is. */
function timeOfLeaving(poseAt: (t: number) => TwinPose): number {
  const start = poseAt(0).point
  for (let t = 0; t < 1; t += 0.002) {
    const { point } = poseAt(t)
    if (Math.hypot(point[0] - start[0], point[1] - start[1], point[2] - start[2]) >= 2 * limits.clearance.rapid) return t
  }
  return 1
}

/** The distance at which a component breaks its limit. */
function limitOf(component: Component, rapid: boolean): number {
  if (component === 'cutter') return rapid ? limits.clearance.rapid : limits.stockToLeave - limits.gouge
  return rapid ? Math.max(limits.clearance[component], limits.clearance.rapid) : limits.clearance[component]
}
