import { MotionContent } from './motion-content.ts'
import type { SearchInput } from './search-motions.ts'

/**
 * For each motion of a program the motion of an earlier reading that is the same for the search, or -1: it goes the same way
 * with the same tool under the same limits, wherever it is written. Both ends are compared first; what lies between them is
 * looked up by content, so that many edits all over a program cost no more than one.
 */
export function unchangedMotions(before: SearchInput, after: SearchInput): Int32Array {
  const same = new Int32Array(after.toolpath.count).fill(-1)
  if (before.toolpath.axes.length !== after.toolpath.axes.length) return same
  const sets = limitNames(before, after)
  const old = new MotionContent(before), now = new MotionContent(after)
  const isSame = (i: number, j: number) => old.isSame(i, sets.before[before.limits.ofMotion[i]], now, j, sets.after[after.limits.ofMotion[j]])
  const most = Math.min(before.toolpath.count, after.toolpath.count)
  let head = 0
  for (; head < most && isSame(head, head); head++) same[head] = head
  let tail = 0
  for (; tail < most - head; tail++) {
    const i = before.toolpath.count - 1 - tail, j = after.toolpath.count - 1 - tail
    if (!isSame(i, j)) break
    same[j] = i
  }
  const between = new Map<number, number[]>()
  for (let i = head; i < before.toolpath.count - tail; i++) {
    const hash = old.hashOf(i), list = between.get(hash)
    if (list === undefined) between.set(hash, [i])
    else list.push(i)
  }
  for (let j = head; j < after.toolpath.count - tail; j++) {
    same[j] = between.get(now.hashOf(j))?.find(i => isSame(i, j)) ?? -1
  }
  return same
}

/** Sets of limits by what they say, so that those of two readings can be compared. */
function limitNames(before: SearchInput, after: SearchInput): { readonly before: number[], readonly after: number[] } {
  const names = new Map<string, number>()
  const named = ({ limits }: SearchInput) => limits.sets.map(({ limits: inForce, barriers }) => {
    const name = JSON.stringify([inForce, barriers])
    const number = names.get(name) ?? names.size
    names.set(name, number)
    return number
  })
  return { before: named(before), after: named(after) }
}
