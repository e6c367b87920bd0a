import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { heightEpsilon } from '../../server/engine/geometry/tolerance.ts'
import { unchangedMotions } from '../../server/engine/contact/unchanged-motions.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { HeightSearch } from '../../server/engine/result/height-search.ts'
import { inheritHeights, newMotions, otherPatches } from '../../server/engine/result/inherit-heights.ts'
import { sampleSurface } from '../../server/engine/result/surface-samples.ts'
import { inputOfPoses, toolOf, type Pose } from '../contact/scene.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { heightsOver, quads, sweptBoxes } from './heights.ts'

// After an edit, heights whose motion is still there are kept. They are those of a fresh search, within its width.

const seed = 20261
const tool = toolOf({ shape: 'ball', DC: 6, LCF: 12 })
const plane = quads([[-10, -8, 0], [10, -8, 0], [10, 8, 0], [-10, 8, 0]])
const samples = sampleSurface(buildMeshTree(plane, false).tree, false, 0.6)

describe(`heights after an edit, seed ${seed}`, () => {
  test.each(Array.from({ length: 8 }, (_, i) => i))('edit %i', n => {
    const random = new SeededRandom(seed + n)
    const pose = (): Pose => ({ point: [random.between(-10, 10), random.between(-8, 8), random.between(-0.1, 1)], axis: [0, 0, 1] })
    const before = Array.from({ length: 40 }, pose)
    const at = random.whole(1, 36), gone = random.whole(0, 3)
    const after = [...before.slice(0, at), ...Array.from({ length: random.whole(gone === 0 ? 1 : 0, 3) }, pose), ...before.slice(at + gone)]
    const old = inputOfPoses(tool, before), now = inputOfPoses(tool, after)
    const earlier = heightsOver(old, samples)
    const common = { same: unchangedMotions(old, now), before: old.toolpath.count }
    expect(common.same.filter(motion => motion >= 0).length).toBeGreaterThan(30)
    const { figures, anew } = inheritHeights(samples, earlier, common, false)
    const job = { input: { ...now, epsilon: heightEpsilon }, samples, figures, boxes: sweptBoxes(now) }
    const all = new HeightSearch({ ...job, first: 0, end: now.toolpath.count }, neverCancelled)
    for (const patch of anew) all.searchPatch(patch)
    const fresh = new HeightSearch({ ...job, ...newMotions(common) }, neverCancelled)
    for (const patch of otherPatches(samples, anew)) fresh.searchPatch(patch)
    const wanted = heightsOver(now, samples)
    const differing = Array.from({ length: samples.count }, (_, i) => i).filter(i =>
      Math.abs(figures.value[i] - wanted.value[i]) > heightEpsilon + 1e-6 || (figures.motion[i] < 0) !== (wanted.motion[i] < 0) || figures.motion[i] >= now.toolpath.count)
    expect(differing).toEqual([])
  })
})
