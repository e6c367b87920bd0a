import { describe, expect, test } from 'vitest'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { stockCover } from '../../server/engine/result/stock-cover.ts'
import { sampleSurface } from '../../server/engine/result/surface-samples.ts'
import { heightsOver, standingOver } from '../../server/engine/result/height-figures.ts'
import { quads, samplesWhere } from './heights.ts'

// How far a stock that stands 1.5 mm about the part reaches over a point, along the point's normal: on a face as far as it
// is offset; at the bottom of a groove whose walls stand 45° to the normal √2 times as far, for there the walls are the nearest.

const offset = 1.5

describe('the cover of a stock offset from the part', () => {
  test.each([
    ['over a plane', quads([[-20, -20, 0], [20, -20, 0], [20, 20, 0], [-20, 20, 0]]), offset],
    ['at the bottom of a groove', quads([[-20, -20, 20], [0, -20, 0], [0, 20, 0], [-20, 20, 20]], [[0, -20, 0], [20, -20, 20], [20, 20, 20], [0, 20, 0]]), offset * Math.SQRT2],
    ['on a ridge, which it goes round', quads([[-20, -20, -20], [0, -20, 0], [0, 20, 0], [-20, 20, -20]], [[0, -20, 0], [20, -20, -20], [20, 20, -20], [0, 20, 0]]), offset],
  ])('%s', (_, corners, wanted) => {
    const { tree } = buildMeshTree(corners, false), samples = sampleSurface(tree, false, 100)
    const cover = stockCover({ kind: 'offset', offset }, samples, tree)
    const low = samplesWhere(samples, (x, _y, z) => Math.abs(z) < 1e-9 && (wanted === offset || x === 0))
    expect(low.length).toBeGreaterThan(1)
    for (const sample of low) expect(cover?.(sample)).toBeCloseTo(wanted, 3)
  })
})

test('what stands is what the stock has where no cut came so low, and nobody knows where there is neither', () => {
  // Cut to 1 mm, not come near, cut 0.1 mm too deep; the stock stands 0.3 mm over all of them.
  const figures = { value: Float64Array.of(1, 3, -0.1), gaveUp: new Float32Array(3).fill(Infinity), motion: Int32Array.of(4, -1, 7) }
  expect([...standingOver(figures, () => 0.3)]).toEqual([0.3, 0.3, -0.1])
  expect([...standingOver(figures, undefined)]).toEqual([1, Infinity, -0.1])
  const { heights, bounds } = heightsOver(figures, standingOver(figures, undefined), 0.002)
  expect([...heights].map(height => Number(height.toFixed(4)))).toEqual([0.999, NaN, -0.101])
  expect([...bounds].map(bound => Number(bound.toFixed(4)))).toEqual([0.001, NaN, 0.001])
})
