import type { Edit } from '../../../shared/finding.ts'
import type { Span } from '../../../shared/span.ts'
import { WordFlag, type Block } from '../nc/block.ts'
import { BlockReader } from '../nc/block-reader.ts'
import { blockSpan, findCode, findWord, wordSpan } from '../nc/words.ts'
import type { FixPlace } from './fix.ts'

// How the fixes of the rules look at a text and write into it.

/** The blocks from a line on. The record is the same each time. */
export function* blocksFrom({ text, machine, lineStarts }: Pick<FixPlace, 'text' | 'machine' | 'lineStarts'>, line: number): Generator<Block> {
  // The faults of the text have been reported when it was run.
  const reader = new BlockReader(text, { wholeNumber: machine.control.wholeNumber, lineStarts }, () => undefined)
  if (line > 0) reader.seek(line)
  for (let block = reader.next(); block !== undefined; block = reader.next()) yield block
}

/** The block on a line; undefined where the line is blank. */
export function blockOn(place: Pick<FixPlace, 'text' | 'machine' | 'lineStarts'>, line: number): Block | undefined {
  const block = blocksFrom(place, line).next().value ?? undefined
  return block?.line === line ? block : undefined
}

export function textOf({ text }: Pick<FixPlace, 'text'>, { start, end }: Span): string {
  return text.slice(start, end)
}

/** Words put behind the last word of a block. */
export function wordsBehind(block: Block, words: string): Edit {
  const { end } = blockSpan(block)
  return { span: { start: end, end }, text: ` ${words}` }
}

/** Words put in front of a word of a block. */
export function wordsBefore({ start }: Span, words: string): Edit {
  return { span: { start, end: start }, text: `${words} ` }
}

/** A block of its own above the one of the finding, and above the comments that belong to that. */
export function blockAbove(place: FixPlace, words: string): Edit {
  let line = place.line
  while (line > 0 && blockOn(place, line - 1)?.count === 0 && /^\s*[(;]/.test(place.text.slice(place.lineStarts[line - 1], place.lineStarts[line]))) line--
  const start = place.lineStarts[line] ?? 0
  return { span: { start, end: start }, text: words + lineEnd(place) }
}

export function lineEnd({ text }: Pick<FixPlace, 'text'>): string {
  return text.includes('\r\n') ? '\r\n' : '\n'
}

/** Takes a word out together with the blank that sets it apart. */
export function without({ text }: Pick<FixPlace, 'text'>, { start, end }: Span): Edit {
  if (text[start - 1] === ' ') return { span: { start: start - 1, end }, text: '' }
  const isFirst = start === 0 || /[\r\n/]/.test(text[start - 1] ?? '')
  return { span: { start, end: isFirst && text[end] === ' ' ? end + 1 : end }, text: '' }
}

/** The next word with the letter below a line, as it is written, while tool, unit and feed mode stay; undefined where there is none. */
export function nextWord(place: FixPlace, letter: string): string | undefined {
  for (const block of blocksFrom(place, place.line + 1)) {
    if (changesMeaning(block)) return undefined
    const word = findWord(block, letter)
    if (word >= 0 && isPlain(block, word) && (block.values[word] ?? 0) > 0) return textOf(place, wordSpan(block, word)).replace(/\s/g, '')
  }
  return undefined
}

/** The number is written out, not worked out. */
export function isPlain(block: Block, word: number): boolean {
  return ((block.wordFlags[word] ?? 0) & (WordFlag.unknown | WordFlag.evaluated)) === 0
}

/** From this block on a feed or speed is another tool's, or counted in another way. */
function changesMeaning(block: Block): boolean {
  return [20, 21, 93, 94, 95].some(code => findCode(block, 'G', code) >= 0) || [2, 6, 30].some(code => findCode(block, 'M', code) >= 0)
}
