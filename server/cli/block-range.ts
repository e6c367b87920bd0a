import type { Finding } from '../../shared/finding.ts'
import type { BlockMark, BlockRange } from './arguments.ts'
import type { TextLines } from './text-lines.ts'
import { lineText, placeOf } from './text-lines.ts'

/** Lines of the file, 1-based, both ends included. */
export interface LineRange {
  readonly first: number
  readonly last: number
}

/** The lines that `--blocks` names in this program; a sentence where it has no such block. */
export function linesOfRange(range: BlockRange, name: string, lines: TextLines): LineRange | string {
  const first = range.from === undefined ? 1 : lineOfMark(range.from, lines)
  if (first === undefined) return notThere(range.from, name, lines)
  const last = range.to === undefined ? lines.starts.length : lineOfMark(range.to, lines, first)
  if (last === undefined) return notThere(range.to, name, lines)
  if (last < first) return `--blocks: in ${name} the last block (line ${last}) stands before the first (line ${first}).`
  return { first, last: Math.min(last, lines.starts.length) }
}

/** Whether any part of what the finding is about lies in the lines. Findings in other files are about the whole program. */
export function liesInLines(finding: Finding, lines: TextLines, range: LineRange): boolean {
  if (finding.file !== undefined) return true
  const first = finding.contact?.firstLine ?? placeOf(lines, finding.span.start).line
  const last = finding.contact?.lastLine ?? placeOf(lines, Math.max(finding.span.start, finding.span.end - 1)).line
  return first <= range.last && last >= range.first
}

/** A number that stands twice is looked for from the line where the range begins. */
function lineOfMark(mark: BlockMark, lines: TextLines, from = 1): number | undefined {
  if (mark.by === 'line') return mark.number <= lines.starts.length || from > 1 ? mark.number : undefined
  const found = (start: number) => {
    for (let line = start; line <= lines.starts.length; line++) {
      const written = /^\s*(?:\/\d?\s*)?N\s*(\d+)/i.exec(lineText(lines, line))
      if (written !== null && Number(written[1]) === mark.number) return line
    }
    return undefined
  }
  return found(from) ?? (from > 1 ? found(1) : undefined)
}

function notThere(mark: BlockMark | undefined, name: string, lines: TextLines): string {
  return mark?.by === 'sequence'
    ? `--blocks: ${name} has no block N${mark.number}.`
    : `--blocks: ${name} has ${lines.starts.length} lines; line ${mark?.number} is beyond its end.`
}
