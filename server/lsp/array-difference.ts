import type { SameBytes } from '../../shared/protocol/server-messages.ts'

export type SceneArray = Float32Array | Float64Array | Uint32Array | Int32Array | Uint8Array

/**
 * What two versions of an array have in common at their start and at their end: an edit of a program changes the motions of
 * a few blocks, and those behind it keep their figures. Where whole numbers name lines or motions, blocks that are put in
 * move all numbers behind them by the same amount; that counts as common, `shift` being the amount.
 */
export function sameBytes(before: SceneArray, now: SceneArray): SameBytes {
  const width = now.BYTES_PER_ELEMENT, most = Math.min(before.length, now.length)
  if (before.BYTES_PER_ELEMENT !== width || most === 0) return { head: 0, tail: 0, shift: 0 }
  const head = sameStart(bytesOf(before), bytesOf(now)) / width | 0
  const shift = now instanceof Uint32Array ? (now[now.length - 1] ?? 0) - (before[before.length - 1] ?? 0) : 0
  const tail = Math.min(most - head, shift === 0 ? sameEnd(bytesOf(before), bytesOf(now)) / width | 0 : shiftedEnd(before, now, shift, most - head))
  return { head: head * width, tail: tail * width, shift: tail === 0 ? 0 : shift }
}

function bytesOf(array: SceneArray): Buffer {
  return Buffer.from(array.buffer, array.byteOffset, array.byteLength)
}

/** How many bytes are the same from the start on; halves are compared as a whole, as fast as memory is read. */
function sameStart(a: Buffer, b: Buffer): number {
  let same = 0, end = Math.min(a.length, b.length)
  while (same < end) {
    const middle = (same + end + 1) >>> 1
    if (a.compare(b, same, middle, same, middle) === 0) same = middle
    else end = middle - 1
  }
  return same
}

function sameEnd(a: Buffer, b: Buffer): number {
  let same = 0, end = Math.min(a.length, b.length)
  while (same < end) {
    const middle = (same + end + 1) >>> 1
    if (a.compare(b, b.length - middle, b.length - same, a.length - middle, a.length - same) === 0) same = middle
    else end = middle - 1
  }
  return same
}

function shiftedEnd(before: SceneArray, now: SceneArray, shift: number, most: number): number {
  let same = 0
  while (same < most && now[now.length - 1 - same] === (before[before.length - 1 - same] ?? NaN) + shift) same++
  return same
}
