// Which entries of two long lists belong to each other: those with the same key, in the same order.
// Equal ends are taken off; keys that stand once in both lists divide what is left (the longest run
// of them that rises in both); between two of them the shortest edit script decides, as far as it
// stays short: E. W. Myers, An O(ND) difference algorithm and its variations, Algorithmica 1 (1986).

/** A pair of indices that belong to each other. */
export type Pair = readonly [a: number, b: number]

interface Range {
  readonly a0: number
  readonly a1: number
  readonly b0: number
  readonly b1: number
}

/** Longer edit scripts are not looked for: what then lies between two anchors stays unpaired. The trail of one takes 2 MB. */
const MOST_EDITS = 500

/** Pairs of [a0, a1) with [b0, b1), rising in both. Keys are numbers that are equal where the entries are. */
export function align(a: ArrayLike<number>, b: ArrayLike<number>, range: Range = { a0: 0, a1: a.length, b0: 0, b1: b.length }): Pair[] {
  let { a0, a1, b0, b1 } = range
  const head: Pair[] = [], tail: Pair[] = []
  while (a0 < a1 && b0 < b1 && a[a0] === b[b0]) head.push([a0++, b0++])
  while (a1 > a0 && b1 > b0 && a[a1 - 1] === b[b1 - 1]) tail.push([--a1, --b1])
  const middle: Pair[] = []
  let from: Pair = [a0, b0]
  for (const anchor of [...anchors(a, b, { a0, a1, b0, b1 }), [a1, b1] as const]) {
    for (const pair of shortScript(a, b, { a0: from[0], a1: anchor[0], b0: from[1], b1: anchor[1] })) middle.push(pair)
    if (anchor[0] < a1) middle.push(anchor)
    from = [anchor[0] + 1, anchor[1] + 1]
  }
  return [...head, ...middle, ...tail.reverse()]
}

/** The longest rising run of keys that stand once in both ranges. */
function anchors(a: ArrayLike<number>, b: ArrayLike<number>, range: Range): Pair[] {
  const inA = single(a, range.a0, range.a1), inB = single(b, range.b0, range.b1)
  const common: Pair[] = []
  for (const [key, at] of inA) {
    const other = inB.get(key)
    if (at >= 0 && other !== undefined && other >= 0) common.push([at, other])
  }
  return longestRising(common)
}

/** Where each key stands; -1 for one that stands more than once. */
function single(keys: ArrayLike<number>, first: number, end: number): Map<number, number> {
  const places = new Map<number, number>()
  for (let i = first; i < end; i++) {
    const key = keys[i] ?? 0
    places.set(key, places.has(key) ? -1 : i)
  }
  return places
}

/** Pairs rise in their first number; the most of them that rise in the second too (patience sorting). */
function longestRising(pairs: readonly Pair[]): Pair[] {
  const ends: number[] = [], before = new Int32Array(pairs.length)
  for (let i = 0; i < pairs.length; i++) {
    const value = pairs[i]?.[1] ?? 0
    let low = 0, high = ends.length
    while (low < high) {
      const middle = (low + high) >> 1
      if ((pairs[ends[middle] ?? 0]?.[1] ?? 0) < value) low = middle + 1
      else high = middle
    }
    before[i] = low === 0 ? -1 : ends[low - 1] ?? -1
    ends[low] = i
  }
  const chosen: Pair[] = []
  for (let i = ends.at(-1) ?? -1; i >= 0; i = before[i] ?? -1) {
    const pair = pairs[i]
    if (pair !== undefined) chosen.push(pair)
  }
  return chosen.reverse()
}

/** Pairs of the shortest edit script; none where it would be longer than MOST_EDITS. */
function shortScript(a: ArrayLike<number>, b: ArrayLike<number>, { a0, a1, b0, b1 }: Range): Pair[] {
  const n = a1 - a0, m = b1 - b0
  if (n === 0 || m === 0) return []
  const most = Math.min(n + m, MOST_EDITS)
  // farthest[k + most]: how far in a the best path on diagonal k = x - y has come.
  const farthest = new Int32Array(2 * most + 2), trail: Int32Array[] = []
  for (let d = 0; d <= most; d++) {
    trail.push(farthest.slice())
    for (let k = -d; k <= d; k += 2) {
      const down = goesDown(farthest, most, d, k)
      let x = down ? farthest[most + k + 1] ?? 0 : (farthest[most + k - 1] ?? 0) + 1
      while (x < n && x - k < m && a[a0 + x] === b[b0 + x - k]) x++
      farthest[most + k] = x
      if (x >= n && x - k >= m) return walkBack(trail, most, n, m).map(([i, j]): Pair => [a0 + i, b0 + j])
    }
  }
  return []
}

/** Whether the best path of d edits reaches diagonal k by an entry of b alone. */
function goesDown(farthest: Int32Array, most: number, d: number, k: number): boolean {
  return k === -d || (k !== d && (farthest[most + k - 1] ?? 0) < (farthest[most + k + 1] ?? 0))
}

/** The equal entries on the way that led to the end; `trail[d]`: how far paths of d - 1 edits had come. */
function walkBack(trail: readonly Int32Array[], most: number, n: number, m: number): Pair[] {
  const pairs: Pair[] = []
  let x = n, y = m
  for (let d = trail.length - 1; d >= 0; d--) {
    const row = trail[d] ?? new Int32Array(0), k = x - y
    const down = goesDown(row, most, d, k), before = d === 0 ? 0 : row[most + k + (down ? 1 : -1)] ?? 0
    const start = d === 0 ? 0 : down ? before : before + 1
    while (x > start) pairs.push([--x, --y])
    x = before
    y = before - (k + (down ? 1 : -1))
  }
  return pairs.reverse()
}
