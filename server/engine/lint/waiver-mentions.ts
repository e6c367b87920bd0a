import type { TextChange } from '../nc/text-change.ts'

// A comment that accepts a finding begins with this word; a long program is not looked through for it again after each edit.

const LENGTH = 'ACCEPT'.length

/** Offsets at which a text holds the word ACCEPT, rising. */
export function waiverMentions(text: string): Uint32Array {
  return Uint32Array.from(mentionsIn(text, 0, text.length))
}

/** The same of a text after an edit; `before`: those of the text it was. */
export function mentionsAfter(before: Uint32Array, { start, oldEnd, newEnd }: TextChange, text: string): Uint32Array {
  // A word is told by the characters on both its sides as well.
  const head = before.filter(at => at + LENGTH < start), tail = before.filter(at => at > oldEnd)
  const fresh = mentionsIn(text, Math.max(0, start - LENGTH), newEnd + 1)
  return Uint32Array.from([...head, ...fresh, ...tail.map(at => at + newEnd - oldEnd)])
}

/** Those that begin within [first, end). */
function mentionsIn(text: string, first: number, end: number): number[] {
  const from = Math.max(0, first - 1), stretch = text.slice(from, end + LENGTH + 1)
  return Array.from(stretch.matchAll(/\bACCEPT\b/gi), ({ index }) => from + index).filter(at => at >= first && at < end)
}
