import { afterAll, describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { components, type Component } from '../../shared/finding.ts'
import { MotionSearcher } from '../../server/engine/contact/search-motions.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { countNames, judgeFigure, MotionOfTwin, newCounts, type Counts } from './judge-figure.ts'
import { randomCase, type Taste } from './random-case.ts'

// The engine's certified figures against the brute-force twin, whole meshes at a time; single
// triangles by the million: `npm run prove`. The table at the end is that of the large-scale study of
// continuous collision detection (Wang et al., ACM Transactions on Graphics 40(5) 188, 2021).

const casesPerTest = 60
/** 10 tests of 60 cases, some 4,000 queries; more with CERTIFICATE_TESTS, other ones with CERTIFICATE_SEED. */
const testCount = Number(process.env['CERTIFICATE_TESTS'] ?? 10)
const firstSeed = Number(process.env['CERTIFICATE_SEED'] ?? 20_000)

const rows = Object.fromEntries(components.map(name => [name, newCounts()])) as Record<Component, Counts>
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

  const sum = (key: typeof countNames[number]) => components.reduce((total, name) => total + rows[name][key], 0)

  // These cases are far wilder than programs: whole turns in a block, facets a hundred times the tool, slivers.
  test('few searches give up with a wider interval than asked for', () => {
    expect(sum('wide') / sum('found')).toBeLessThan(0.01)
  })

  afterAll(() => {
    console.table({ ...rows, all: Object.fromEntries(countNames.map(key => [key, sum(key)])) }, [...countNames])
    console.log(`${motionCount} motions, ${(engineSeconds / motionCount * 1e6).toFixed(0)} µs each for the whole assembly`)
  })
})

function checkCase(seed: number, taste?: Taste): string[] {
  const job = randomCase(new SeededRandom(seed), taste), { input, corners, solids } = job
  const { toolpath } = input
  const searcher = new MotionSearcher(input, buildMeshTree(corners, false).tree, neverCancelled)
  const before = performance.now()
  const figures = searcher.searchRun(0, toolpath.count)
  engineSeconds += (performance.now() - before) / 1000
  motionCount += toolpath.count
  return Array.from({ length: toolpath.count }, (_, i) => new MotionOfTwin(job, i)).flatMap(motion =>
    components.filter(component => solids[component].length > 0).flatMap(component =>
      judgeFigure(job, motion, component, corners, figures, motion.motion, rows[component]).map(fault => `case ${seed}, ${fault}`)))
}
