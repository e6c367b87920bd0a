import type { Span } from '../../../shared/span.ts'

/** How much of the text is looked at. */
const SAMPLE = 65_536

/**
 * Where a text stops looking like a program, or undefined: more than one character in twenty is a
 * control character or came from bytes that are no text. A few stray ones (tape leaders) are let through.
 */
export function binaryAt(text: string): { readonly span: Span, readonly odd: number, readonly looked: number } | undefined {
  const looked = Math.min(text.length, SAMPLE)
  let odd = 0
  let first = -1
  for (let i = 0; i < looked; i++) {
    const code = text.charCodeAt(i)
    if (code >= 32 && code !== 127 && code !== 0xfffd || code >= 9 && code <= 13) continue
    odd++
    if (first < 0) first = i
  }
  return odd >= 4 && odd * 20 > looked ? { span: { start: first, end: first + 1 }, odd, looked } : undefined
}
