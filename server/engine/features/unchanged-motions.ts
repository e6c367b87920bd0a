import type { Setup } from '../../../shared/setup.ts'
import { ARC_STRIDE, type Toolpath } from '../../../shared/toolpath.ts'

/** How many motions at either end of a path are those of an earlier path, bit for bit. */
export interface UnchangedEnds {
  readonly head: number
  readonly tail: number
}

/** Compares two paths of the same machine from both ends. Lines may differ: a motion is where it goes, not where it is written. */
export function unchangedEnds(before: Toolpath, after: Toolpath): UnchangedEnds {
  const most = Math.min(before.count, after.count)
  if (before.axes.length !== after.axes.length) return { head: 0, tail: 0 }
  let head = 0
  while (head < most && isSameMotion(before, head, after, head)) head++
  let tail = 0
  while (tail < most - head && isSameMotion(before, before.count - 1 - tail, after, after.count - 1 - tail)) tail++
  return { head, tail }
}

/**
 * Whether the limits a motion is held against, and so how far it was searched, follow from the
 * motion alone. Passes that reach from one sequence number to another depend on the text around it.
 */
export function limitsFollowMotion(setup: Setup): boolean {
  return setup.passes.every(pass => pass.from === undefined && pass.to === undefined)
}

/** Whether two motions are the same, bit for bit, wherever they are written. */
export function isSameMotion(a: Toolpath, i: number, b: Toolpath, j: number): boolean {
  if (a.kind[i] !== b.kind[j] || a.flags[i] !== b.flags[j] || a.tool[i] !== b.tool[j]) return false
  // A motion runs from its own row of joints to the next one; rows that are not known are never the same.
  const width = a.axes.length
  for (let n = 0; n < 2 * width; n++) if (a.joints[i * width + n] !== b.joints[j * width + n]) return false
  const arcA = a.arcOf[i] ?? -1, arcB = b.arcOf[j] ?? -1
  if (arcA < 0 || arcB < 0) return arcA === arcB
  for (let n = 0; n < ARC_STRIDE; n++) if (a.arcs[arcA * ARC_STRIDE + n] !== b.arcs[arcB * ARC_STRIDE + n]) return false
  return true
}
