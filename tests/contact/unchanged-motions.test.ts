import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { SearchInput } from '../../server/engine/service.ts'
import { unchangedMotions } from '../../server/engine/contact/unchanged-motions.ts'
import { ARC_STRIDE, MotionFlag, ToolpathBuilder } from '../../shared/toolpath.ts'

const seed = 20260302

interface Move { readonly to: number, readonly tool?: number, readonly kind?: number, readonly arc?: number, readonly flags?: number, readonly gouge?: number }

/** Line numbers run on from `firstLine`, so that the same motions can stand elsewhere in the text. */
function inputOf(moves: readonly Move[], firstLine = 0): SearchInput {
  const builder = new ToolpathBuilder(['X', 'C'], [0, 0])
  moves.forEach(({ to, tool = 0, kind = 0, arc, flags = 0 }, i) => {
    builder.push(kind, flags, firstLine + i, tool, 1, [to, 10 + to], arc === undefined ? undefined : new Float64Array(ARC_STRIDE).fill(arc))
  })
  const gouges = [...new Set(moves.map(({ gouge = 0.01 }) => gouge))]
  const sets = gouges.map(gouge => ({ limits: { gouge }, origin: { gouge: `set ${moves.length}` } }))
  const limits = { sets, ofMotion: Uint16Array.from(moves, ({ gouge = 0.01 }) => gouges.indexOf(gouge)) }
  return { toolpath: builder.finish(), limits } as unknown as SearchInput
}

const same = (a: readonly Move[], b: readonly Move[], line = 0) => [...unchangedMotions(inputOf(a), inputOf(b, line))]

describe('motions an edit leaves unchanged', () => {
  it('are all of them where only lines have moved', () => {
    const moves = [{ to: 1 }, { to: 2, arc: 3 }, { to: 3 }]
    expect(same(moves, moves, 7)).toEqual([0, 1, 2])
  })

  it('end before a changed end point and begin two motions later, since the next one starts there', () => {
    expect(same([{ to: 1 }, { to: 2 }, { to: 3 }, { to: 4 }], [{ to: 1 }, { to: 9 }, { to: 3 }, { to: 4 }])).toEqual([0, -1, -1, 3])
  })

  it('are found between many edits too, and where they stand elsewhere now', () => {
    expect(same([1, 2, 3, 4, 5, 6, 7, 8, 9].map(to => ({ to })), [1, 20, 3, 4, 5, 60, 7, 8, 9, 10].map(to => ({ to })))).toEqual([0, -1, -1, 3, 4, -1, -1, 7, 8, -1])
    // Two motions more at the head, one changed at the end: what lies between is the same two places on.
    expect(same([1, 2, 3, 4, 5].map(to => ({ to })), [9, 0, 1, 2, 3, 4, 6].map(to => ({ to })))).toEqual([-1, -1, -1, 1, 2, 3, -1])
  })

  it.each([
    ['another tool', { to: 2, tool: 1 }], ['another kind', { to: 2, kind: 1 }], ['another arc', { to: 2, arc: 2 }], ['no arc', { to: 2 }],
    ['rapid', { to: 2, arc: 1, flags: MotionFlag.rapid }], ['another limit', { to: 2, arc: 1, gouge: 0.02 }],
  ])('do not count %s as the same', (_, other) => {
    expect(same([{ to: 1 }, { to: 2, arc: 1 }], [{ to: 1 }, other])).toEqual([0, -1])
  })

  it('count as the same with the coolant on, and where a pass with the same limits begins elsewhere', () => {
    expect(same([{ to: 1 }, { to: 2 }], [{ to: 1, flags: MotionFlag.coolantOn }, { to: 2 }])).toEqual([0, 1])
    expect(same([{ to: 1, gouge: 0.02 }, { to: 2 }], [{ to: 1, gouge: 0.02 }, { to: 2 }, { to: 3, gouge: 0.5 }])).toEqual([0, 1, -1])
  })

  it('are not those before which another tool came, or a rapid', () => {
    expect(same([{ to: 1 }, { to: 2 }], [{ to: 1, tool: 3 }, { to: 2 }])).toEqual([-1, -1])
    expect(same([{ to: 1 }, { to: 2 }], [{ to: 1, flags: MotionFlag.rapid }, { to: 2 }])).toEqual([-1, -1])
  })

  it('are none where the start is not known', () => {
    expect(same([{ to: NaN }], [{ to: NaN }])).toEqual([-1])
  })

  it(`are really the same, and none is missed (seed ${seed})`, () => {
    const moves = fc.array(fc.record({ to: fc.nat(3), flags: fc.nat(1) }), { maxLength: 12 })
    fc.assert(fc.property(moves, moves, (a, b) => {
      const before = inputOf(a), after = inputOf(b), found = unchangedMotions(before, after)
      const content = ({ toolpath }: SearchInput, i: number) => JSON.stringify([[...toolpath.joints.slice(i * 2, i * 2 + 4)], toolpath.flags[i], i === 0 ? -1 : toolpath.flags[i - 1]])
      const old = a.map((_, i) => content(before, i))
      found.forEach((i, j) => {
        if (i >= 0) expect(old[i]).toBe(content(after, j))
        else expect(old).not.toContain(content(after, j))
      })
    }), { seed, numRuns: 500 })
  })
})
