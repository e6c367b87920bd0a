import { describe, expect, test } from 'vitest'
import { MotionPose } from '../../shared/motion-pose.ts'
import { cellsBetweenLooks, ComponentSearch } from '../../server/engine/contact/component-search.ts'
import { PoseCells } from '../../server/engine/contact/pose-cells.ts'
import { cutLimit } from '../../server/engine/contact/triangle-search.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { sphere } from '../mesh/bodies.ts'
import { inputOfPoses, toolOf } from './scene.ts'

// How soon a search ends once nobody waits is counted in cells, which does not hang on how busy the machine is: a cell takes
// about a microsecond, so that these bounds are a tenth of the 100 ms within which an edit must end the search of the text before.

/** A leaf's two triangles are searched to their end between two looks; each cut bounds two cells. */
const mostBetweenLooks = cellsBetweenLooks + 2 * (2 * cutLimit + 2)

const tree = buildMeshTree(sphere(30, 5), false).tree

/** Searches that take long: a ball in the middle of a hollow one, as near to thousands of facets at once. Places of its tip. */
const hard = {
  'all but at rest': [[0, 0, -5], [0, 0, -5.0001]],
  'a little downward': [[0, 0, -5], [0, 0, -5.02]],
  'a little to the side': [[-0.005, 0, -5], [0.005, 0.002, -5]],
} as const

function searchOf(way: keyof typeof hard, cancelled: (search: ComponentSearch) => boolean): ComponentSearch {
  const poses = hard[way].map((point, i) => ({ point, axis: [0.001 * i, 0, Math.sqrt(1 - 1e-6 * i)] as const }))
  const input = inputOfPoses(toolOf({ shape: 'ball', DC: 10, LCF: 12 }), poses)
  const motion = new MotionPose(input.kinematics, input.toolpath, [input.assemblies[0]?.gaugeLength ?? 0]), cells = new PoseCells(motion)
  const outline = input.assemblies[0]?.shapes[0]?.pieces[0]
  if (outline === undefined) throw new Error('the tool has no cutter')
  const search: ComponentSearch = new ComponentSearch(tree, new PieceDistance(outline), motion, cells, { cancelled: () => cancelled(search) })
  motion.begin(0)
  cells.begin()
  search.run(40, 1e-7)
  return search
}

describe.each(Object.keys(hard) as (keyof typeof hard)[])('a long search of a motion %s', way => {
  test('looks at short intervals whether anyone still waits', () => {
    const looks = [0]
    const { work } = searchOf(way, search => {
      looks.push(search.work)
      return false
    })
    const gaps = [...looks.slice(1), work].map((at, i) => at - (looks[i] ?? 0))
    expect(looks.length).toBeGreaterThan(3)
    expect(Math.max(...gaps)).toBeLessThanOrEqual(mostBetweenLooks)
  })

  test.each([1, 2, 3])('ends at look %i without another cell, and claims nothing it has not proven', number => {
    let looks = 0, raisedAt = -1
    const whole = searchOf(way, () => false)
    const ended = searchOf(way, search => {
      looks++
      if (looks === number) raisedAt = search.work
      return looks >= number
    })
    expect(looks).toBe(number)
    expect(ended.work).toBe(raisedAt)
    expect(ended.certified).toBeLessThanOrEqual(whole.value)
  })
})
