import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { components } from '../../shared/finding.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { ComponentSearch } from '../../server/engine/contact/component-search.ts'
import { PoseCells } from '../../server/engine/contact/pose-cells.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { smallestDistance } from '../harness/brute-force.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { randomCase, type RandomCase, type Taste } from './random-case.ts'
import { inputOfLeans, toolOf } from './scene.ts'

// Every term of the bounds, first and second order, has to be there. A search that is told the answer to
// a micrometre's thousandth beforehand, and looks only for anything below that, drops every cell whose bound is a
// hair too high: it then certifies more than brute force attains. Facets of a few micrometres leave
// the bounds no slack in space, so that the terms of the motion stand alone.

const hair = 1e-6
const cases = 150

describe('a search that is told the answer still finds it', () => {
  test.each<readonly [seed: number, what: string, taste: Taste]>([
    [601, 'any motion and tool', {}],
    [602, 'swings', { motions: ['swing'] }],
    [603, 'joints', { motions: ['joints', 'dog-leg'] }],
    [604, 'arcs', { motions: ['joint arc', 'tool arc'] }],
    [608, 'arcs without turning', { motions: ['joint arc', 'tool arc'], turns: false }],
    [605, 'a ball on any motion', { shape: 'ball', component: 'cutter' }],
    [606, 'a ball on arcs and swings', { shape: 'ball', component: 'cutter', motions: ['joint arc', 'tool arc', 'swing'] }],
    [607, 'sharp edges', { shape: 'flat', component: 'cutter', motions: ['swing', 'joints', 'joint arc', 'tool arc'] }],
    [611, 'a ball on small arcs without turning', { shape: 'ball', component: 'cutter', motions: ['joint arc', 'tool arc'], turns: false, most: 3 }],
    [612, 'sharp edges on arcs without turning', { shape: 'flat', component: 'cutter', motions: ['joint arc', 'tool arc'], turns: false }],
    [609, 'turning about a tool point at rest', { motions: ['swing'], travels: false }],
    [610, 'a ball that turns about a tool point at rest', { shape: 'ball', component: 'cutter', motions: ['swing'], travels: false }],
  ])(`seed %i: %s, ${cases} cases`, (seed, _what, taste) => {
    expect(Array.from({ length: cases }, (_, i) => tooHigh(seed * 1000 + i, taste)).flat()).toEqual([])
  })
})

describe('what only a large facet or a narrow cone shows', () => {
  const flat = toolOf({ shape: 'flat', DC: 40, LCF: 10 })
  const far = [300, 0, -300, 301, 0, -300, 300, 1, -300]
  /** What is proven of the least distance between two leans about the origin when it is known to be `attained`. */
  const certifiedBetween = (leans: readonly (readonly [lean: number, around: number])[], corners: readonly number[], attained: number) => {
    const input = inputOfLeans(flat, leans.map(([lean, around]) => ({ point: [0, 0, 0], lean, around }))), assembly = input.assemblies[0]
    if (assembly === undefined) throw new Error('an end mill has a shape')
    const motion = new MotionPose(input.kinematics, input.toolpath, [assembly.gaugeLength]), cells = new PoseCells(motion)
    motion.begin(0)
    cells.begin()
    const search = new ComponentSearch(buildMeshTree(Float64Array.from(corners), false).tree, new PieceDistance(assembly.shapes[0].pieces[0]), motion, cells, neverCancelled)
    search.run(attained + hair, hair / 2)
    return search.certified
  }

  test.each([0.01, 0.1, 0.3])('an end mill\'s face tilts by ±%f rad about its middle over a facet that lies flat under it', tilt => {
    // (x, y, -gap) has the distance gap cos θ - x sin θ from the face: least at one end of the turn, at the facet's corner.
    const gap = 0.3, reach = 10, facet = [-reach, -1, -gap, reach, -1, -gap, 0, 2, -gap]
    const attained = gap * Math.cos(tilt) - reach * Math.sin(tilt)
    for (const corners of [facet, [...facet, ...far]]) {
      expect(certifiedBetween([[-tilt, 0], [tilt, 0]], corners, attained)).toBeLessThanOrEqual(attained + hair / 10)
    }
  })

  test.each([0.003, 0.03, 0.3])('the axis goes round a cone of %f rad, beside a grain', lean => {
    // (x, 0, 0) has the distance -x sin(lean) cos(around) from the face: most in the middle of the turn, least at its ends.
    const x = 8, turn = 1, attained = -x * Math.sin(lean) * Math.cos(Math.PI - turn), size = 1e-7
    const grain = [x, 0, 0, x + size, 0, 0, x, size, 0]
    for (const corners of [grain, [...grain, ...far]]) {
      expect(certifiedBetween([[lean, Math.PI - turn], [lean, Math.PI + turn]], corners, attained)).toBeLessThanOrEqual(attained + hair / 10 + size)
    }
  })
})

/** What is certified above what brute force attains, in words. */
function tooHigh(seed: number, taste: Taste): string[] {
  const random = new SeededRandom(seed), job = randomCase(random, taste), { input, solids, twin, tool } = job
  const corners = grains(job, random), { tree } = buildMeshTree(corners, false), length = gaugeLength(tool), assembly = input.assemblies[0]
  if (assembly === undefined) throw new Error(`no shape: ${job.name}`)
  const motion = new MotionPose(input.kinematics, input.toolpath, [length]), cells = new PoseCells(motion)
  const faults: string[] = []
  for (let i = 0; i < input.toolpath.count; i++) {
    motion.begin(i)
    cells.begin()
    components.forEach((component, c) => {
      if (solids[component].length === 0) return
      const attained = smallestDistance(solids[component], corners, t => twin.poseAt(input.toolpath, i, length, t), Infinity, { moments: 17, refined: 2 })
      const certified = Math.min(...assembly.shapes[c].pieces.map(piece => {
        const search = new ComponentSearch(tree, new PieceDistance(piece), motion, cells, neverCancelled)
        search.run(attained.value + hair, hair / 2)
        return search.certified
      }))
      if (certified > attained.value + hair / 10) faults.push(`case ${seed}, motion ${i}, ${component}: certified ${certified}, attained ${attained.value} at t ${attained.time} [${job.name}]`)
    })
  }
  return faults
}

/**
 * A few triangles of the case next to the one near the tool, drawn together to a grain, to a crumb, or hardly; often
 * with others far off, so that the search opens the tree, and looks at the grain, before it cuts time.
 */
function grains({ corners, anchor }: RandomCase, random: SeededRandom): Float64Array {
  const share = random.pick([1e-4, 1e-3, 0.03, 0.3]), count = Math.min(corners.length / 9, random.pick([1, 1, 4, 12]))
  const middle = [0, 1, 2].map(k => (corners[anchor * 9 + k] + corners[anchor * 9 + 3 + k] + corners[anchor * 9 + 6 + k]) / 3)
  const first = Math.max(0, Math.min(anchor, corners.length / 9 - count)) * 9
  const near = corners.slice(first, first + count * 9).map((value, i) => middle[i % 3] + share * (value - middle[i % 3]))
  const far = Array.from({ length: random.pick([0, 1, 2, 3]) }, () => random.direction().map((value, k) => middle[k] + 300 * value))
  return Float64Array.from([...near, ...far.flatMap(([x, y, z]) => [x, y, z, x + 1, y, z, x, y + 1, z])])
}
