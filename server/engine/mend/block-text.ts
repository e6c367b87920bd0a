import type { Edit } from '../../../shared/finding.ts'
import type { Span } from '../../../shared/span.ts'
import type { Word } from '../nc/block.ts'
import type { BlockRun } from './block-runs.ts'
import type { NumberStyle } from './number-style.ts'

/** Order of words that the standard recommends (ISO 6983-1, from memory): a word put in goes behind those before it. */
const order = 'NGXYZUVWPQRIJKABCFSTMHD'

/** A word as it is to stand in a block. */
export interface NewWord { readonly letter: string, readonly text: string }

/** What was changed in one block, for the list of changes. */
export interface WordChange { readonly from: string, readonly to: string }

/** The edits that put these words into a block: in the place of the word with the letter, else behind those that come before it. */
export function wordEdits(run: BlockRun, wanted: readonly NewWord[], style: NumberStyle, text: string): { edits: Edit[], changes: WordChange[] } {
  const edits: Edit[] = [], changes: WordChange[] = [], added = new Map<number, { text: string, span: Span }>()
  for (const { letter, text: word } of wanted) {
    const known = wordOf(run, letter)
    if (known !== undefined) {
      const from = text.slice(known.span.start, known.span.end)
      // The letter and what stands behind it stay as they are in this very word.
      const to = (/^[A-Za-z][ \t]*/.exec(from)?.[0] ?? letter) + word.replace(/^[A-Za-z][ \t]*/, '')
      if (from === to) continue
      edits.push({ span: known.span, text: to })
      changes.push({ from, to })
      continue
    }
    changes.push({ from: '', to: word })
    const rank = order.indexOf(letter)
    const before = run.words.findLast(each => order.indexOf(each.letter) < rank && order.indexOf(each.letter) <= order.indexOf('C'))
    const after = run.words[0]
    if (before !== undefined || after === undefined) {
      const at = before?.span.end ?? run.end
      const sofar = added.get(at)
      added.set(at, { span: { start: at, end: at }, text: `${sofar?.text ?? ''}${style.between}${word}` })
    } else {
      const at = after.span.start, sofar = added.get(at)
      added.set(at, { span: { start: at, end: at }, text: `${sofar?.text ?? ''}${word}${style.between}` })
    }
  }
  return { edits: [...edits, ...added.values()].sort((a, b) => a.span.start - b.span.start), changes }
}

/** The word that holds for the letter. */
export function wordOf(run: BlockRun, letter: string): Word | undefined {
  return run.words.findLast(each => each.letter === letter)
}

/** The edits that take the axis words out of a block; the whole line where nothing else stands in it. */
export function withoutWords(run: BlockRun, letters: string, text: string): { edits: Edit[], changes: WordChange[] } {
  const leaving = run.words.filter(({ letter }) => letters.includes(letter))
  const from = text.slice(run.start, run.end).trim()
  if (leaving.length === run.words.length && !run.hasComment) {
    return { edits: [{ span: { start: run.start, end: run.end + lineEnd(text, run.end).length }, text: '' }], changes: [{ from, to: '' }] }
  }
  const edits = leaving.map(({ span }): Edit => {
    const blank = /[ \t]/.test(text.charAt(span.start - 1)) ? 1 : 0
    return { span: { start: span.start - blank, end: span.end }, text: '' }
  })
  return { edits, changes: leaving.map(({ span }) => ({ from: text.slice(span.start, span.end), to: '' })) }
}

/** The end of the line that ends at the offset. */
export function lineEnd(text: string, end: number): string {
  if (text.startsWith('\r\n', end)) return '\r\n'
  return end < text.length ? text.charAt(end) : ''
}

/** Numbers for blocks put in between two numbers, where there is room that nobody uses. */
export class FreeNumbers {
  readonly #taken = new Set<number>()

  constructor(text: string) {
    for (const [, digits] of text.matchAll(/^[ \t]*\/?\d?[ \t]*N[ \t]*(\d+)/gim)) this.#taken.add(Number(digits))
  }

  /** As many as asked for, evenly spread; undefined where they do not fit. */
  between(low: number, high: number, count: number): number[] | undefined {
    if (low < 0 || high <= low + count) return undefined
    const numbers = Array.from({ length: count }, (_, i) => low + Math.floor((high - low) * (i + 1) / (count + 1)))
    if (numbers.some((each, i) => this.#taken.has(each) || each === numbers[i - 1] || each <= low)) return undefined
    for (const each of numbers) this.#taken.add(each)
    return numbers
  }
}

/** Applies edits that do not overlap, in rising order. */
export function applyEdits(text: string, edits: readonly Edit[]): string {
  let out = '', at = 0
  for (const { span, text: put } of [...edits].sort((a, b) => a.span.start - b.span.start || a.span.end - b.span.end)) {
    out += text.slice(at, span.start) + put
    at = span.end
  }
  return out + text.slice(at)
}
