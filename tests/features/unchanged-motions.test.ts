import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { unchangedEnds } from '../../server/engine/features/unchanged-motions.ts'
import { ARC_STRIDE, ToolpathBuilder, type Toolpath } from '../../shared/toolpath.ts'

const seed = 20260302

interface Move { readonly to: number, readonly tool?: number, readonly kind?: number, readonly arc?: number }

/** Line numbers run on from `firstLine`, so that the same motions can stand elsewhere in the text. */
function pathOf(moves: readonly Move[], firstLine = 0): Toolpath {
  const builder = new ToolpathBuilder(['X', 'C'], [0, 0])
  moves.forEach(({ to, tool = 0, kind = 0, arc }, i) => {
    builder.push(kind, 0, firstLine + i, tool, 1, [to, 10 + to], arc === undefined ? undefined : new Float64Array(ARC_STRIDE).fill(arc))
  })
  return builder.finish()
}

describe('motions an edit leaves unchanged', () => {
  it('are all of them where only lines have moved', () => {
    const moves = [{ to: 1 }, { to: 2, arc: 3 }, { to: 3 }]
    expect(unchangedEnds(pathOf(moves), pathOf(moves, 7))).toEqual({ head: 3, tail: 0 })
  })

  it('end before a changed end point and begin two motions later, since the next one starts there', () => {
    expect(unchangedEnds(pathOf([{ to: 1 }, { to: 2 }, { to: 3 }, { to: 4 }]), pathOf([{ to: 1 }, { to: 9 }, { to: 3 }, { to: 4 }])))
      .toEqual({ head: 1, tail: 1 })
  })

  it.each([
    ['another tool', { to: 2, tool: 1 }], ['another kind', { to: 2, kind: 1 }], ['another arc', { to: 2, arc: 2 }], ['no arc', { to: 2 }],
  ])('do not count %s as the same', (_, other) => {
    const found = unchangedEnds(pathOf([{ to: 1 }, { to: 2, arc: 1 }]), pathOf([{ to: 1 }, other]))
    expect(found).toEqual({ head: 1, tail: 0 })
  })

  it('are none where the start is not known', () => {
    expect(unchangedEnds(pathOf([{ to: NaN }]), pathOf([{ to: NaN }]))).toEqual({ head: 0, tail: 0 })
  })

  it(`are really the same, and never overlap (seed ${seed})`, () => {
    const moves = fc.array(fc.record({ to: fc.nat(3) }), { maxLength: 12 })
    fc.assert(fc.property(moves, moves, (a, b) => {
      const before = pathOf(a), after = pathOf(b)
      const { head, tail } = unchangedEnds(before, after)
      expect(head + tail).toBeLessThanOrEqual(Math.min(a.length, b.length))
      for (let i = 0; i < head; i++) expect(after.joints.slice(i * 2, i * 2 + 4)).toEqual(before.joints.slice(i * 2, i * 2 + 4))
      for (let n = 1; n <= tail; n++) {
        const i = b.length - n, j = a.length - n
        expect(after.joints.slice(i * 2, i * 2 + 4)).toEqual(before.joints.slice(j * 2, j * 2 + 4))
      }
    }), { seed, numRuns: 500 })
  })
})
