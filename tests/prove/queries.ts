import { neverCancelled } from '../../shared/cancellation.ts'
import { components } from '../../shared/finding.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from '../../server/engine/contact/contact-figures.ts'
import { MotionSearcher } from '../../server/engine/contact/search-motions.ts'
import { buildMeshTree, type MeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { addCounts, judgeFigure, MotionOfTwin, newCounts } from '../contact/judge-figure.ts'
import { randomCase, type RandomCase } from '../contact/random-case.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'
import type { Tally } from './tally.ts'

// Random queries: a motion, a triangle and a component. Every triangle is searched by itself, and
// judged against the brute-force twin; and then all triangles of the case at once through their tree,
// whose figure may not be above what was attained on any of them.

/** Triangles of one case, those next to the one that was laid near the tool. */
const trianglesPerCase = 24

/** mm. What two searches of the same thing may differ by, beyond their widths. */
const rounding = 1e-7

/** Asks all queries of one case, adds them to the tally and answers what is wrong, in words. */
export function askQueries(random: SeededRandom, tally: Tally): string[] {
  const job = randomCase(random), { input, solids } = job, count = input.toolpath.count
  const corners = aroundAnchor(job), asked = components.filter(component => solids[component].length > 0)
  const motions = Array.from({ length: count }, (_, i) => new MotionOfTwin(job, i))
  const together = new MotionSearcher(input, buildMeshTree(corners, false).tree, neverCancelled).searchRun(0, count)
  const attained = new Float64Array(count * FIGURES_PER_MOTION).fill(Infinity)
  const slot = buildMeshTree(corners.subarray(0, 9), false).tree
  const searcher = new MotionSearcher(input, slot, neverCancelled)
  const own = newCounts(), faults: string[] = []
  let seconds = 0
  for (let o = 0; o < corners.length; o += 9) {
    const triangle = corners.subarray(o, o + 9)
    exchange(slot, triangle)
    const before = performance.now()
    const figures = searcher.searchRun(0, count)
    seconds += (performance.now() - before) / 1000
    for (const motion of motions) {
      for (const component of asked) {
        const counts = newCounts()
        faults.push(...judgeFigure(job, motion, component, triangle, figures, motion.motion, counts).map(fault => `triangle ${o / 9}, ${fault}`))
        tally.add(component, counts)
        addCounts(own, counts)
      }
    }
    figures.value.forEach((value, at) => { attained[at] = Math.min(attained[at], value) })
  }
  tally.addMotion(job.wish, own, seconds)
  const against = treeFaults(job, motions, together, attained)
  tally.addTree(count * asked.length, against.length)
  return [...faults, ...against]
}

/** Puts another triangle into a tree of one. */
function exchange(slot: MeshTree, triangle: Float64Array): void {
  const { tree } = buildMeshTree(triangle, false)
  slot.corners.set(tree.corners)
  slot.nodes.set(tree.nodes)
}

/** The triangles of the case next to the anchor, in the order of their middles' distance. */
function aroundAnchor({ corners, anchor }: RandomCase): Float64Array {
  const middle = (i: number) => [0, 1, 2].map(k => (corners[i * 9 + k] + corners[i * 9 + 3 + k] + corners[i * 9 + 6 + k]) / 3)
  const from = middle(anchor)
  const near = Array.from({ length: corners.length / 9 }, (_, i) => ({ i, away: Math.hypot(...middle(i).map((value, k) => value - from[k])) }))
    .sort((a, b) => a.away - b.away)
    .slice(0, trianglesPerCase)
  return Float64Array.from(near.flatMap(({ i }) => [...corners.subarray(i * 9, i * 9 + 9)]))
}

/** `attained`: by motion and component, the least that was attained on a triangle by itself. */
function treeFaults({ solids, name }: RandomCase, motions: readonly MotionOfTwin[], { value, certified }: ContactFigures, attained: Float64Array): string[] {
  const faults: string[] = []
  for (let at = 0; at < attained.length; at++) {
    const component = components[at % FIGURES_PER_MOTION], motion = motions[Math.floor(at / FIGURES_PER_MOTION)]
    // Whether a rapid leaves the cut is decided by all triangles together: the figures may be of different times.
    if (solids[component].length === 0 || (component === 'cutter' && motion.leavesCut)) continue
    if (certified[at] <= attained[at] + rounding) continue
    faults.push(`motion ${motion.motion}, ${component}, all triangles: certified ${certified[at]}, value ${value[at]}, but ${attained[at]} was attained on one of them [${name}]`)
  }
  return faults
}
