import type { Control } from '../../../shared/machine.ts'
import { BlockReader } from './block-reader.ts'

const N = 78, n = 110, ZERO = 48, NINE = 57, SPACE = 32, LINE_FEED = 10, RETURN = 13

/**
 * Every sequence number of a text on the lines [first, last) before `end`, in its order: the number and the offsets of N and its
 * digits. Nearly all lines begin with N and digits, and are read here; the others are the reader's.
 */
export function eachSequence(
  text: string, lineStarts: Uint32Array, wholeNumber: Control['wholeNumber'], { first = 0, last = lineStarts.length - 1, end }: { readonly first?: number, readonly last?: number, readonly end: number },
  take: (number: number, start: number, end: number) => void,
): void {
  let reader: BlockReader | undefined
  for (let line = first; line < last; line++) {
    const start = lineStarts[line] ?? 0, letter = text.charCodeAt(start)
    if (start >= end) return
    let number = 0, at = start + 1
    if (letter === N || letter === n) {
      for (let code = text.charCodeAt(at); code >= ZERO && code <= NINE; code = text.charCodeAt(++at)) number = number * 10 + code - ZERO
      const next = text.charCodeAt(at), behind = next === SPACE ? text.charCodeAt(at + 1) : next
      if (at > start + 1 && at - start < 10 && (isLetter(behind) || behind === LINE_FEED || behind === RETURN || at >= text.length)) {
        take(number, start, at)
        continue
      }
    }
    if (!holdsN(text, start, lineStarts[line + 1] ?? text.length)) continue
    // The faults of the text have been reported when it was run.
    reader ??= new BlockReader(text, { wholeNumber, lineStarts }, () => undefined)
    reader.seek(line)
    const block = reader.next()
    if (block?.line === line && block.sequence >= 0) take(block.sequence, block.sequenceStart, block.sequenceEnd)
  }
}

function isLetter(code: number): boolean {
  return code >= 65 && code <= 90 || code >= 97 && code <= 122
}

function holdsN(text: string, start: number, end: number): boolean {
  for (let at = start; at < end; at++) if (text.charCodeAt(at) === N || text.charCodeAt(at) === n) return true
  return false
}
