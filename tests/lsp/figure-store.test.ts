import { describe, expect, it } from 'vitest'
import type { ContactFigures } from '../../server/engine/service.ts'
import { FigureStore } from '../../server/lsp/figure-store.ts'

/** Figures that tell which motion they were made for. */
function run(firstMotion: number, count: number, mark = 0): ContactFigures {
  const fill = (stride: number) => Array.from({ length: count * stride }, (_, i) => firstMotion + Math.floor(i / stride) + mark)
  return {
    firstMotion, count,
    value: Float64Array.from(fill(4)), certified: Float64Array.from(fill(4)), time: Float32Array.from(fill(4)), point: Float32Array.from(fill(12)),
    inside: [],
    near: [],
  }
}

describe('figures of a running search', () => {
  it('are told as far as they are known, in whatever order they come', () => {
    const store = new FigureStore(6)
    store.add(run(2, 2))
    expect(store.done).toBe(2)
    store.add(run(0, 2))
    expect([...store.run(0, 4).value]).toEqual([0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3])
    expect(store.gaps()).toEqual([{ first: 4, count: 2 }])
  })

  it('are not known before they come', () => {
    const store = new FigureStore(3)
    store.add(run(1, 1))
    expect(store.of(0)).toBeUndefined()
    expect([...store.of(1)?.value ?? []]).toEqual([1, 1, 1, 1])
    expect(store.gaps()).toEqual([{ first: 0, count: 1 }, { first: 2, count: 1 }])
  })

  it('are taken over from an earlier reading, as far as that had come', () => {
    const before = new FigureStore(6)
    before.add({ ...run(0, 2, 100), inside: [{ motion: 1, component: 'neck', point: [0, 0, 0] }] })
    before.add(run(5, 1, 100))
    const after = new FigureStore(8)
    const taken = after.inherit(before, Int32Array.from([0, 1, 2, -1, -1, -1, 4, 5]))
    expect(taken).toEqual([{ first: 0, count: 2, source: 0 }, { first: 7, count: 1, source: 5 }])
    expect(after.others.inside.map(start => start.motion)).toEqual([1])
    // Motions 0 and 1 are known, 2 was not; 5 becomes 7, 4 was not known.
    expect(after.gaps()).toEqual([{ first: 2, count: 5 }])
    expect(after.of(1)?.value[0]).toBe(101)
    expect(after.of(7)?.value[0]).toBe(105)
  })

  it('around what was searched are those that a kept piece can reach, and no more than there are', () => {
    const store = new FigureStore(8)
    store.add(run(0, 8))
    const { firstMotion, count, value } = store.around([{ first: 3, count: 1 }, { first: 5, count: 1 }], 2)
    expect([firstMotion, count, value[0]]).toEqual([1, 7, 1])
    expect(store.around([], 2).count).toBe(0)
  })
})
