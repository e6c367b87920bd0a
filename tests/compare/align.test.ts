import { describe, expect, test } from 'vitest'
import { align } from '../../server/engine/compare/align.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

/** Length of a longest common subsequence, from its textbook table. */
function longestCommon(a: readonly number[], b: readonly number[]): number {
  const table = Array.from({ length: a.length + 1 }, () => new Int32Array(b.length + 1))
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) table[i][j] = a[i] === b[j] ? table[i + 1][j + 1] + 1 : Math.max(table[i + 1][j], table[i][j + 1])
  }
  return table[0][0]
}

describe('entries that belong to each other', () => {
  test.each<[string, number[], number[], number[][]]>([
    ['nothing with nothing', [], [], []],
    ['the same list', [1, 2, 3], [1, 2, 3], [[0, 0], [1, 1], [2, 2]]],
    ['one put in', [1, 2, 3], [1, 9, 2, 3], [[0, 0], [1, 2], [2, 3]]],
    ['one taken out', [1, 2, 3], [1, 3], [[0, 0], [2, 1]]],
    ['one changed', [1, 2, 3], [1, 9, 3], [[0, 0], [2, 2]]],
    ['a pass that is run again', [1, 2, 1, 2], [1, 2, 1, 2, 1, 2], [[0, 0], [1, 1], [2, 2], [3, 3]]],
  ])('%s', (_what, a, b, pairs) => expect(align(a, b)).toEqual(pairs))

  test('random lists, seed 7: pairs rise, are equal, and are nearly as many as can be', () => {
    const random = new SeededRandom(7)
    let lost = 0, all = 0
    for (let n = 0; n < 2000; n++) {
      const kinds = random.whole(2, 12), list = (length: number) => Array.from({ length }, () => random.whole(0, kinds))
      const a = list(random.whole(0, 30)), b = random.whole(0, 1) === 0 ? list(random.whole(0, 30)) : a.filter(() => random.whole(0, 4) > 0).flatMap(key => random.whole(0, 9) === 0 ? [key, 99] : [key])
      const pairs = align(a, b)
      pairs.forEach(([i, j], at) => {
        expect(a[i]).toBe(b[j])
        expect(i).toBeGreaterThan(pairs[at - 1]?.[0] ?? -1)
        expect(j).toBeGreaterThan(pairs[at - 1]?.[1] ?? -1)
      })
      const most = longestCommon(a, b)
      expect(pairs.length).toBeLessThanOrEqual(most)
      lost += most - pairs.length
      all += most
    }
    expect(lost / all).toBeLessThan(0.02)
  })
})
