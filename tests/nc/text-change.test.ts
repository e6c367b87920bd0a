import { describe, expect, test } from 'vitest'
import { lineStartsOf } from '../../server/engine/nc/line-index.ts'
import { changeBetween, lineStartsAfter, spanAfter } from '../../server/engine/nc/text-change.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

const seed = 20260801

function randomText(random: SeededRandom, length: number): string {
  return Array.from({ length }, () => random.pick(['\r', '\n', '\r\n', 'X', '1', 'ab'])).join('')
}

describe(`the change between two texts (seed ${seed})`, () => {
  test('makes the one out of the other, and the lines with it: 5,000 edits', () => {
    const random = new SeededRandom(seed)
    let before = randomText(random, 60)
    for (let n = 0; n < 5000; n++) {
      const from = random.whole(0, before.length), to = Math.min(before.length, from + random.whole(0, 6))
      const after = before.slice(0, from) + randomText(random, random.whole(0, 5)) + before.slice(to)
      const change = changeBetween(before, after)
      expect(before.slice(0, change.start) + after.slice(change.start, change.newEnd) + before.slice(change.oldEnd)).toBe(after)
      expect(Math.max(change.oldEnd, change.newEnd) - change.start).toBeLessThanOrEqual(Math.max(to - from, after.length - before.length + to - from))
      expect([...lineStartsAfter(lineStartsOf(before), change, after)]).toEqual([...lineStartsOf(after)])
      before = after.length > 400 ? after.slice(0, 60) : after
    }
  })

  test('is found in long texts whose ends are the same', () => {
    const long = 'G1 X1.5 Y2\n'.repeat(20_000), at = 123_456
    expect(changeBetween(long, `${long.slice(0, at)}@@${long.slice(at + 3)}`)).toEqual({ start: at, oldEnd: at + 3, newEnd: at + 2 })
    expect(changeBetween(long, long)).toEqual({ start: long.length, oldEnd: long.length, newEnd: long.length })
    expect(changeBetween('', 'X')).toEqual({ start: 0, oldEnd: 0, newEnd: 1 })
    const shorter = changeBetween(long, long.slice(11))
    expect(shorter.oldEnd - shorter.start).toBe(11)
    expect(shorter.newEnd).toBe(shorter.start)
  })

  test('moves what lies behind it, leaves what lies before it, and takes away what it touches', () => {
    const change = { start: 10, oldEnd: 12, newEnd: 15 }
    expect(spanAfter({ start: 3, end: 10 }, change)).toEqual({ start: 3, end: 10 })
    expect(spanAfter({ start: 12, end: 14 }, change)).toEqual({ start: 15, end: 17 })
    for (const [start, end] of [[9, 11], [10, 12], [11, 20], [0, 30]]) expect(spanAfter({ start, end }, change)).toBeUndefined()
  })
})
