import { stepwise, type Stepwise } from '../../../shared/stepwise.ts'
import { marksOf, type Mark } from '../nc/line-marks.ts'
import type { TextChange } from './rename.ts'
import { lineCount, linesFrom, lineText, type ProgramText } from './program-text.ts'

/**
 * Sets the words of every block apart by one blank and writes their letters large. Numbers, comments, expressions and
 * the order of the words stay as they are, and so does every motion. A line that holds something that cannot be read is left alone.
 */
export function* tidyChanges(program: ProgramText): Stepwise<TextChange[]> {
  const changes: TextChange[] = []
  yield* stepwise(linesFrom(program), lineCount(program), [0, 1], line => {
    const before = lineText(program, line), after = tidyLine(before)
    if (after !== before) changes.push({ line, from: 0, to: before.length, text: after })
  })
  return changes
}

export function tidyLine(line: string): string {
  const marks = marksOf(line)
  if (marks.length === 0) return line.trim() === '' ? '' : line
  const items = itemsOf(line, marks)
  if (!items.every(isReadable)) return line
  let text = /^[ \t]*/.exec(line)?.[0] ?? ''
  let isFirst = true
  for (const item of items) {
    text += isFirst ? itemText(line, item) : ` ${itemText(line, item)}`
    // A skip sign stands directly before its block.
    isFirst = item[0]?.kind === 'skip'
  }
  return text
}

/** Marks that belong together: a word with its expression, a setting, a keyword with what it takes. */
function itemsOf(line: string, marks: readonly Mark[]): Mark[][] {
  const items: Mark[][] = []
  let depth = 0
  for (const mark of marks) {
    const isHead = depth === 0 && (['word', 'comment', 'keyword', 'skip', 'tape', 'stray'].includes(mark.kind) || mark.kind === 'variable' && mark.isSet)
    const item = items.at(-1)
    if (isHead || item === undefined) items.push([mark])
    else item.push(mark)
    if (mark.kind === 'operator') depth += ({ '[': 1, ']': -1 })[line.slice(mark.from, mark.to)] ?? 0
  }
  return items
}

function isReadable([head, ...rest]: readonly Mark[]): boolean {
  if (head === undefined || head.kind === 'stray' || rest.some(mark => mark.kind === 'stray')) return false
  if (head.kind !== 'word') return head.kind !== 'number' && head.kind !== 'operator'
  return head.isPlain ? rest.length === 0 && !Number.isNaN(head.value) : rest.length > 0
}

function itemText(line: string, item: readonly Mark[]): string {
  const [head] = item, last = item.at(-1)
  if (head === undefined || last === undefined) return ''
  const name = line.slice(head.from, head.kind === 'keyword' ? head.to : head.from + 1).toUpperCase()
  const rest = line.slice(head.from + name.length, last.to)
  return name + (head.kind === 'word' && head.isPlain ? rest.replace(/[ \t]/g, '') : rest)
}
