import { hasEffect, readMarks, type BlockMarks, digitsPattern } from './block-marks.ts'
import { linesWith, type Place, type ProgramText } from './program-text.ts'
import { markAt, type Mark } from '../nc/line-marks.ts'
import { sectionAt, sectionsOf, type Section } from './sections.ts'

// What a word points at, and everything else that points there: a sequence number, a program, a variable, a tool.

export type Target =
  /** N: known within its own program, from one O to the next. */
  | { readonly kind: 'sequence', readonly number: number, readonly section: Section }
  /** O: known to every program. */
  | { readonly kind: 'program', readonly number: number }
  /** `section`: where a local variable (#1 to #33) is known; undefined for one that all programs share. */
  | { readonly kind: 'variable', readonly name: string, readonly section: Section | undefined }
  | { readonly kind: 'tool' | 'lengthOffset' | 'radiusOffset', readonly number: number }

export interface Occurrence extends Place {
  /** The place where it is laid down: the block N, the head O, where a variable is given its value. */
  readonly isDefinition: boolean
  readonly target: Target
}

/** What stands at a column of a line; undefined where it points at nothing. */
export function targetAt(program: ProgramText, line: number, column: number): Occurrence | undefined {
  const block = readMarks(program, line), mark = markAt(block.marks, column)
  return mark === undefined ? undefined : occurrenceOf(program, block, mark, sectionsOf(program))
}

/** Every place of the program that means the same, in order. */
export function occurrencesOf(program: ProgramText, target: Target): Occurrence[] {
  const found: Occurrence[] = [], sections = sectionsOf(program)
  for (const line of linesWith(program, patternOf(target))) {
    if ('section' in target && target.section !== undefined && (line < target.section.first || line > target.section.last)) continue
    const block = readMarks(program, line)
    for (const mark of block.marks) {
      const one = occurrenceOf(program, block, mark, sections)
      if (one !== undefined && isSame(one.target, target)) found.push(one)
    }
  }
  return found
}

export function isSame(a: Target, b: Target): boolean {
  if (a.kind === 'variable' || b.kind === 'variable') return a.kind === b.kind && 'name' in a && 'name' in b && a.name === b.name && a.section?.first === b.section?.first
  if (a.kind === 'sequence' && b.kind === 'sequence') return a.number === b.number && a.section.first === b.section.first
  return a.kind === b.kind && a.number === b.number
}

/** The part of a word that is its number, or the whole of a variable: what a rename replaces. */
export function nameStretch(block: BlockMarks, { from, to }: Mark): { readonly from: number, readonly to: number } {
  const start = /^[A-Za-z:][ \t]*/.exec(block.text.slice(from, to))?.[0].length ?? 0
  return { from: from + start, to }
}

function occurrenceOf(program: ProgramText, block: BlockMarks, mark: Mark, sections: readonly Section[]): Occurrence | undefined {
  const target = meaningOf(program, block, mark, sections)
  if (target === undefined) return undefined
  return { line: block.line, ...nameStretch(block, mark), target, isDefinition: definesIn(mark) }
}

function definesIn(mark: Mark): boolean {
  return mark.kind === 'variable' ? mark.isSet : mark.kind === 'word' && 'NO'.includes(mark.letter)
}

function meaningOf(program: ProgramText, block: BlockMarks, mark: Mark, sections: readonly Section[]): Target | undefined {
  const { marks } = block
  if (mark.kind === 'variable') {
    const index = Number(mark.name.slice(1))
    return { kind: 'variable', name: mark.name, section: index >= 1 && index <= 33 ? sectionAt(sections, block.line) : undefined }
  }
  if (mark.kind === 'number') {
    const before = marks[marks.indexOf(mark) - 1]
    return before?.kind === 'keyword' && before.word === 'GOTO' ? { kind: 'sequence', number: mark.value, section: sectionAt(sections, block.line) } : undefined
  }
  if (mark.kind !== 'word' || !mark.isPlain || !Number.isInteger(mark.value)) return undefined
  const number = mark.value
  switch (mark.letter) {
    case 'N': return { kind: 'sequence', number, section: sectionAt(sections, block.line) }
    case 'O': return { kind: 'program', number }
    case 'P': return targetOfP(program, block, number, sections)
    case 'T': return { kind: 'tool', number }
    case 'H': return { kind: 'lengthOffset', number }
    case 'D': return { kind: 'radiusOffset', number }
    default: return undefined
  }
}

/** P names the program that is called, or with M99 the block of the calling program to go back to. */
function targetOfP(program: ProgramText, block: BlockMarks, number: number, sections: readonly Section[]): Target | undefined {
  if (hasEffect(block, 'call', 'macro', 'macro-modal')) return { kind: 'program', number }
  if (!hasEffect(block, 'return')) return undefined
  const section = sectionAt(sections, block.line)
  const callers = section.number === undefined ? [] : callersOf(program, section.number, sections)
  // A program that nothing calls goes back to its own block, as M99 P does at the end of the main program.
  return { kind: 'sequence', number, section: callers.length === 1 && callers[0] !== undefined ? callers[0] : section }
}

/** The programs of this text that call the program with the number. */
function callersOf(program: ProgramText, number: number, sections: readonly Section[]): Section[] {
  const found = new Set<Section>()
  for (const line of linesWith(program, new RegExp(`P[ \\t]*${digitsPattern(number)}`, 'i'))) {
    const block = readMarks(program, line)
    if (hasEffect(block, 'call', 'macro', 'macro-modal') && block.words.some(word => word.letter === 'P' && word.value === number)) found.add(sectionAt(sections, line))
  }
  return [...found]
}

/** Finds every line that can hold the target, and few others. */
function patternOf(target: Target): RegExp {
  switch (target.kind) {
    case 'sequence': return new RegExp(`(?:N|P|GOTO)[ \\t]*${digitsPattern(target.number)}`, 'i')
    case 'program': return new RegExp(`[O:P][ \\t]*${digitsPattern(target.number)}`, 'i')
    case 'tool': return new RegExp(`T[ \\t]*${digitsPattern(target.number)}`, 'i')
    case 'lengthOffset': return new RegExp(`H[ \\t]*${digitsPattern(target.number)}`, 'i')
    case 'radiusOffset': return new RegExp(`D[ \\t]*${digitsPattern(target.number)}`, 'i')
    case 'variable': {
      const name = target.name.slice(1)
      const plain = /^\d+$/.test(name) ? digitsPattern(Number(name)) : [...name].map(letter => letter.replace(/[^\w]/, '\\$&')).join('[ \\t]*')
      return new RegExp(`#[ \\t]*${plain}`, 'i')
    }
    default: return target satisfies never
  }
}
