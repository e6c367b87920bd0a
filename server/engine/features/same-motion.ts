import { ARC_STRIDE, type Toolpath } from '../../../shared/toolpath.ts'

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

/** How many motions at the beginning of two paths of one machine are the same. */
export function sameBeginning(a: Toolpath, b: Toolpath): number {
  const most = a.axes.length === b.axes.length ? Math.min(a.count, b.count) : 0
  let same = 0
  while (same < most && isSameMotion(a, same, b, same)) same++
  return same
}
