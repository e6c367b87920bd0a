import { hasEffect, readMarks } from './block-marks.ts'
import { linesWith, type Place, type ProgramText } from './program-text.ts'
import { sectionsOf } from './sections.ts'
import { passNumbers, type SheetEdit } from './sheet-numbers.ts'
import { occurrencesOf, targetAt, type Target } from './targets.ts'

export interface TextChange extends Place {
  readonly text: string
}

export type RenameAnswer =
  | { readonly kind: 'edits', readonly edits: readonly TextChange[], readonly sheet: readonly SheetEdit[] }
  /** Why it is not done, as a sentence. */
  | { readonly kind: 'refused', readonly because: string }


/** What would be renamed at the cursor, and its present name; undefined where there is nothing that has a name. */
export function renameableAt(program: ProgramText, line: number, column: number): { readonly place: Place, readonly name: string } | undefined {
  const origin = targetAt(program, line, column)
  if (origin === undefined || !['sequence', 'program', 'variable'].includes(origin.target.kind)) return undefined
  return { place: origin, name: nameOf(origin.target) }
}

/**
 * Gives a sequence number, a program or a variable another name, everywhere it is meant: a jump goes where it went, a
 * pass of the sheet covers what it covered. Refused where that cannot be sure. `sheetText`: the sheet as it was read.
 */
export function renameAt(program: ProgramText, line: number, column: number, wanted: string, sheetText: string | undefined): RenameAnswer {
  const origin = targetAt(program, line, column)
  if (origin === undefined) return refused('There is nothing here that has a name: put the cursor on a sequence number, a program number or a variable.')
  const { target } = origin
  const name = wanted.replace(/[ \t]/g, '').toUpperCase()
  if (target.kind === 'variable') return renameVariable(program, target, name)
  if (target.kind !== 'sequence' && target.kind !== 'program') return refused('Tool and offset numbers belong to the setup sheet and the machine; they are not renamed here.')
  const letter = target.kind === 'sequence' ? 'N' : 'O'
  const digits = new RegExp(`^${letter}?(\\d{1,9})$`).exec(name)?.[1]
  if (digits === undefined) return refused(`"${wanted}" is no number for ${letter}: give 1 to 9 digits.`)
  const number = Number(digits), renamed: Target = { ...target, number }
  const places = occurrencesOf(program, target)
  if (number === target.number) return { kind: 'edits', edits: [], sheet: [] }
  if (occurrencesOf(program, renamed).length > 0) return refused(`${letter}${number} is in use in this program already; the two could no longer be told apart.`)
  if (target.kind === 'program') {
    if (!places.some(place => place.isDefinition)) return refused(`O${target.number} is kept in a file of its own: rename the file.`)
    return { kind: 'edits', edits: places.map(place => ({ ...place, text: digits })), sheet: [] }
  }
  const computed = computedJump(program, target.section)
  if (computed !== undefined) return refused(`The jump in line ${computed + 1} works out where it goes, so nobody can tell whether it means N${target.number}.`)
  return { kind: 'edits', edits: places.map(place => ({ ...place, text: digits })), sheet: passNumbers(program.setup, sheetText, number => number === target.number ? Number(digits) : undefined) }
}

function renameVariable(program: ProgramText, target: Extract<Target, { kind: 'variable' }>, wanted: string): RenameAnswer {
  const name = /^#?(\d{1,4}|<[^<>]+>)$/.exec(wanted)?.[1]
  if (name === undefined) return refused(`"${wanted}" is no variable: give a number, or a name in angle brackets.`)
  const renamed = sharedOrLocal(program, `#${name.replace(/^0+(?=\d)/, '')}`, target)
  if (renamed.name === target.name) return { kind: 'edits', edits: [], sheet: [] }
  const index = Number(target.name.slice(1)), to = Number(renamed.name.slice(1))
  if (index > 999 || to > 999 || to === 0) return refused('Variables from #1000 on belong to the control itself, and #0 is always empty.')
  if ((renamed.section === undefined) !== (target.section === undefined)) return refused(`#1 to #33 are known to one program only and the others to all: ${target.name} cannot become ${renamed.name}.`)
  const places = occurrencesOf(program, target)
  if (target.section !== undefined && !places.some(place => place.isDefinition)) return refused(`${target.name} is given no value here: it is an argument of the call, which sets it by its number.`)
  if (occurrencesOf(program, renamed).length > 0) return refused(`${renamed.name} is in use already; the two would become one.`)
  const shared = target.section === undefined ? undefined : sharingCall(program)
  if (shared !== undefined) return refused(`The call in line ${shared + 1} shares #1 to #33 with the program that it calls, so ${target.name} could be meant there too.`)
  const reached = computedVariable(program)
  if (reached !== undefined) return refused(`Line ${reached + 1} reaches a variable by a number that is worked out, so nobody can tell whether it means ${target.name}.`)
  return { kind: 'edits', edits: places.map(place => ({ ...place, text: renamed.name })), sheet: [] }
}

/** Line of a call that hands on the local variables as they are: M98 does, a macro call does not. */
function sharingCall(program: ProgramText): number | undefined {
  for (const line of linesWith(program, /P[ \t]*[\d#[]/i)) if (hasEffect(readMarks(program, line), 'call')) return line
  return undefined
}

function sharedOrLocal(program: ProgramText, name: string, like: Extract<Target, { kind: 'variable' }>): Extract<Target, { kind: 'variable' }> {
  const index = Number(name.slice(1)), isLocal = index >= 1 && index <= 33
  return { kind: 'variable', name, section: isLocal ? like.section ?? sectionsOf(program)[0] : undefined }
}

/** Line of a GOTO within the lines whose goal is an expression. */
export function computedJump(program: ProgramText, { first, last }: { readonly first: number, readonly last: number }): number | undefined {
  for (const line of linesWith(program, /GOTO[ \t]*[#[]/i)) {
    if (line < first || line > last) continue
    const { marks } = readMarks(program, line)
    if (marks.some((mark, at) => mark.kind === 'keyword' && mark.word === 'GOTO' && marks[at + 1]?.kind !== 'number')) return line
  }
  return undefined
}

/** Line of a `##2` or `#[1+2]`. */
function computedVariable(program: ProgramText): number | undefined {
  for (const line of linesWith(program, /#[ \t]*[#[]/)) {
    const { marks, text } = readMarks(program, line)
    if (marks.some(mark => mark.kind === 'operator' && text.charAt(mark.from) === '#')) return line
  }
  return undefined
}

function nameOf(target: Target): string {
  return target.kind === 'variable' ? target.name : String(target.number)
}

function refused(because: string): RenameAnswer {
  return { kind: 'refused', because }
}

