import { firstAbove } from '../../../shared/first-above.ts'
import type { Span } from '../../../shared/span.ts'

/** One stretch of a text that has become another: old [start, oldEnd) is now [start, newEnd). */
export interface TextChange {
  readonly start: number
  readonly oldEnd: number
  readonly newEnd: number
}

/** Characters compared at once where the texts are the same. */
const CHUNK = 1 << 14

/** The smallest stretch that makes the new text out of the old one; texts without a difference change nothing at their end. */
export function changeBetween(before: string, after: string): TextChange {
  const shorter = Math.min(before.length, after.length)
  let start = 0
  while (start + CHUNK <= shorter && before.slice(start, start + CHUNK) === after.slice(start, start + CHUNK)) start += CHUNK
  while (start < shorter && before.charCodeAt(start) === after.charCodeAt(start)) start++
  let oldEnd = before.length, newEnd = after.length
  while (oldEnd - CHUNK >= start && newEnd - CHUNK >= start && before.slice(oldEnd - CHUNK, oldEnd) === after.slice(newEnd - CHUNK, newEnd)) {
    oldEnd -= CHUNK
    newEnd -= CHUNK
  }
  while (oldEnd > start && newEnd > start && before.charCodeAt(oldEnd - 1) === after.charCodeAt(newEnd - 1)) {
    oldEnd--
    newEnd--
  }
  return { start, oldEnd, newEnd }
}

/** Where a span of the old text lies in the new one; undefined where the change touches it. */
export function spanAfter(span: Span, change: TextChange): Span | undefined {
  if (span.end <= change.start) return span
  const by = change.newEnd - change.oldEnd
  if (span.start < change.oldEnd) return undefined
  return by === 0 ? span : { start: span.start + by, end: span.end + by }
}

/** `lineStartsOf` of the new text, made from those of the old one. */
export function lineStartsAfter(before: Uint32Array, change: TextChange, text: string): Uint32Array {
  const { start, oldEnd, newEnd } = change, by = newEnd - oldEnd, lines = before.length - 1
  // Whether a line starts somewhere depends on the characters on both sides of it: \r\n is one end.
  const kept = Math.max(1, firstAbove(before, start - 1, lines)), moved = firstAbove(before, oldEnd, lines)
  const fresh: number[] = []
  for (let at = before[kept - 1] ?? 0; at < newEnd; at++) {
    const code = text.charCodeAt(at)
    if (code === 10 || code === 13 && text.charCodeAt(at + 1) !== 10) fresh.push(at + 1)
  }
  const result = new Uint32Array(kept + fresh.length + Math.max(0, lines - moved) + 1)
  result.set(before.subarray(0, kept))
  result.set(fresh, kept)
  for (let line = moved, at = kept + fresh.length; line < lines; line++, at++) result[at] = (before[line] ?? 0) + by
  result[result.length - 1] = text.length
  return result
}
