import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { motionUpToLine, motionsByLine, motionsOfLine } from '../../server/engine/features/motions-by-line.ts'
import { ToolpathBuilder } from '../../shared/toolpath.ts'

const seed = 20260301

function pathOver(lines: readonly number[]) {
  const builder = new ToolpathBuilder(['X'], [0])
  for (const line of lines) builder.push(0, 0, line, 0, 1, [line])
  return builder.finish()
}

describe('motions by line', () => {
  it(`hold every motion once, on its line, in the order of execution (seed ${seed})`, () => {
    fc.assert(fc.property(fc.array(fc.nat(30), { maxLength: 60 }), lines => {
      const found = motionsByLine(pathOver(lines), 31)
      for (let line = 0; line <= 30; line++) {
        const expected = lines.flatMap((one, motion) => one === line ? [motion] : [])
        expect([...motionsOfLine(found, line)]).toEqual(expected)
        const before = lines.map((one, motion) => ({ one, motion })).filter(({ one }) => one <= line)
          .sort((a, b) => a.one - b.one || a.motion - b.motion).at(-1)?.motion
        expect(motionUpToLine(found, line)).toBe(before)
      }
    }), { seed, numRuns: 200 })
  })

  it('have nothing to say of lines outside the program', () => {
    const found = motionsByLine(pathOver([0, 2]), 3)
    expect([...motionsOfLine(found, -1)]).toEqual([])
    expect([...motionsOfLine(found, 3)]).toEqual([])
    expect(motionUpToLine(found, 99)).toBe(1)
    expect(motionUpToLine(found, -1)).toBeUndefined()
  })
})
