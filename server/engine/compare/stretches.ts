import { align, type Pair } from './align.ts'
import type { ComparedPath, Stretch } from './compared-path.ts'
import { lineKeys, motionKeys, sameMotion } from './motion-keys.ts'

/** Motions of the old path and those of the new one that stand in their place. */
export interface StretchPair {
  readonly old: Stretch
  readonly new: Stretch
  /** One motion on either side, and the same one. */
  readonly isSame: boolean
}

/** Words and number of each line, in either program. */
export interface LineNames {
  readonly words: (line: number) => string
  /** Sequence number, or the line's own number where it has none. */
  readonly number: (line: number) => string
}

/**
 * Both paths cut into stretches that belong to each other. First by where motions end; what this
 * leaves, by the words of their blocks (after a change of an offset or a tool's length every motion
 * ends elsewhere, and the words still tell which is which), then by their sequence numbers (after a
 * change of every figure). What is left stands against what is left.
 */
export function stretchPairs(before: ComparedPath, after: ComparedPath, names: { readonly old: LineNames, readonly new: LineNames }): StretchPair[] {
  const old = before.toolpath, now = after.toolpath
  const ends = align(motionKeys(before), motionKeys(after))
  const byWords = withinGaps(ends, old.count, now.count, () => [lineKeys(before, names.old.words), lineKeys(after, names.new.words)])
  const pairs = withinGaps(byWords, old.count, now.count, () => [lineKeys(before, names.old.number), lineKeys(after, names.new.number)])
  return between(pairs, old.count, now.count).map(pair => {
    const isOne = pair.old.end - pair.old.first === 1 && pair.new.end - pair.new.first === 1
    return { ...pair, isSame: isOne && sameMotion(old, pair.old.first, now, pair.new.first) }
  })
}

/** Aligns by further keys what lies between the pairs found so far; the keys are made when a gap asks for them. */
function withinGaps(found: readonly Pair[], oldCount: number, newCount: number, makeKeys: () => readonly [Float64Array, Float64Array]): Pair[] {
  let keys: readonly [Float64Array, Float64Array] | undefined
  const pairs: Pair[] = []
  let from: Pair = [-1, -1]
  for (const end of [...found, [oldCount, newCount] as const]) {
    const a0 = from[0] + 1, b0 = from[1] + 1, left = end[0] - a0, right = end[1] - b0
    // A gap of one against one needs no key to know its pair.
    if (left > 0 && right > 0 && left + right > 2) {
      keys ??= makeKeys()
      for (const pair of align(keys[0], keys[1], { a0, a1: end[0], b0, b1: end[1] })) pairs.push(pair)
    }
    if (end[0] < oldCount && end[1] < newCount) pairs.push(end)
    from = end
  }
  return pairs
}

/** Each pair of motions closes a stretch that began behind the pair before. */
function between(pairs: readonly Pair[], oldCount: number, newCount: number): { old: Stretch, new: Stretch }[] {
  const stretches: { old: Stretch, new: Stretch }[] = []
  let a = 0, b = 0
  for (const [i, j] of pairs) {
    stretches.push({ old: { first: a, end: i + 1 }, new: { first: b, end: j + 1 } })
    a = i + 1
    b = j + 1
  }
  if (a < oldCount || b < newCount) stretches.push({ old: { first: a, end: oldCount }, new: { first: b, end: newCount } })
  return stretches
}
