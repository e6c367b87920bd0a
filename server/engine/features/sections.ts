import { marksOf } from '../nc/line-marks.ts'
import { lineCount, linesWith, lineText, type ProgramText } from './program-text.ts'

/** One program of a text: from its O to the line before the next one. Lines are 0-based, both included. */
export interface Section {
  /** Undefined for what stands before the first O. */
  readonly number: number | undefined
  readonly first: number
  readonly last: number
}

const heads = /^[ \t]*(?:\/\d?[ \t]*)?[O:][ \t]*\d/im

/** The programs of a text, in order; one without a number where it has no O. */
export function sectionsOf(program: ProgramText): Section[] {
  const found: { number: number | undefined, first: number }[] = []
  for (const line of linesWith(program, heads)) {
    const head = marksOf(lineText(program, line)).find(mark => mark.kind === 'word' && mark.letter === 'O')
    if (head?.kind !== 'word') continue
    // What stands before the first O (the tape's %, comments) belongs to it.
    found.push({ number: head.value, first: found.length === 0 ? 0 : line })
  }
  if (found.length === 0) found.push({ number: undefined, first: 0 })
  return found.map((one, at) => ({ ...one, last: (found[at + 1]?.first ?? lineCount(program)) - 1 }))
}

export function sectionAt(sections: readonly Section[], line: number): Section {
  return sections.findLast(section => section.first <= line) ?? { number: undefined, first: 0, last: line }
}
