import { stepwise, type Stepwise } from '../../../shared/stepwise.ts'
import { readMarks, wordOf } from './block-marks.ts'
import { lineCount, linesFrom, linesWith, lineText, type ProgramText } from './program-text.ts'
import { computedJump, type RenameAnswer, type TextChange } from './rename.ts'
import { sectionAt, sectionsOf, type Section } from './sections.ts'
import { passNumbers } from './sheet-numbers.ts'
import { targetAt } from './targets.ts'

export interface Numbering {
  /** Number of the first block, and how far each one is behind the one before. */
  readonly start: number
  readonly step: number
  /** Whether blocks without a number get one. */
  readonly every: boolean
}

/** Jumps are followed to numbers of nine digits at most. */
const HIGHEST = 999_999_999

interface NewNumber { readonly line: number, readonly from: number, readonly to: number, readonly old: number | undefined, readonly number: number }

/**
 * Gives the blocks new sequence numbers in the order of the text. Jumps, returns and passes of the sheet follow, so that
 * every motion stays as it was; where that cannot be sure, nothing is done. `sheetText`: the sheet as it was read.
 * `called`: texts of the programs that are called and lie in files of their own.
 */
export function* renumber(program: ProgramText, { start, step, every }: Numbering, sheetText: string | undefined, called: readonly string[]): Stepwise<RenameAnswer> {
  if (!Number.isInteger(start) || !Number.isInteger(step) || start < 0 || step < 1) return refused('The first number is a whole number of 0 or more, and the step one of 1 or more.')
  const sections = sectionsOf(program), numbers = yield* newNumbers(program, { start, step, every })
  const highest = start + step * Math.max(0, numbers.length - 1)
  if (highest > HIGHEST) return refused(`${numbers.length} blocks from N${start} in steps of ${step} come to N${highest}, more than nine digits: take a smaller step.`)
  const computed = computedJump(program, { first: 0, last: lineCount(program) })
  if (computed !== undefined) return refused(`The jump in line ${computed + 1} works out where it goes, so nobody can tell which numbers it needs.`)
  if (called.some(text => /M[ \t]*0*99[ \t]*P/i.test(text))) return refused('A program that is called from a file of its own goes back to a sequence number of this one (M99 P), which would then be another.')
  const meanings = new Meanings(sections), changes: TextChange[] = []
  yield* stepwise(numbers, numbers.length, [0.7, 0.9], one => {
    const { line, from, to, old, number } = one
    meanings.add(one)
    changes.push({ line, from, to, text: old === undefined ? `N${number} ` : String(number) })
  })
  for (const jump of jumpsOf(program)) {
    const number = meanings.of(jump.number, jump.section)
    if (number === 'several') return refused(`N${jump.number}, which line ${jump.line + 1} goes to, stands before several blocks of this program: number them apart first.`)
    if (number === undefined) return refused(`Line ${jump.line + 1} goes to N${jump.number}, which this program does not have; with new numbers it could lead somewhere.`)
    changes.push({ line: jump.line, from: jump.from, to: jump.to, text: String(number) })
  }
  yield 0.9
  const fault = passFault(program, meanings, numbers)
  if (fault !== undefined) return refused(fault)
  yield 0.9
  changes.sort((a, b) => a.line - b.line || a.from - b.from)
  const edits: TextChange[] = []
  yield* stepwise(changes, changes.length, [0.9, 1], change => {
    if (lineText(program, change.line).slice(change.from, change.to) !== change.text) edits.push(change)
  })
  return { kind: 'edits', edits, sheet: passNumbers(program.setup, sheetText, number => meanings.anywhere(number)) }
}

/** The blocks that get a number, in order. Heads of programs, comments and the tape's % get none unless they have one. */
function* newNumbers(program: ProgramText, { start, step, every }: Numbering): Stepwise<NewNumber[]> {
  const found: NewNumber[] = []
  let next = start
  yield* stepwise(linesFrom(program), lineCount(program), [0, 0.7], line => {
    const text = lineText(program, line)
    if (!every && !/N/i.test(text)) return
    const block = readMarks(program, line), own = wordOf(block, 'N')
    if (own?.isPlain === true) {
      const digits = /\d[\d \t]*$/.exec(text.slice(own.from, own.to))?.[0].length ?? 0
      found.push({ line, from: own.to - digits, to: own.to, old: own.value, number: next })
    } else {
      const [first] = block.marks.filter(mark => mark.kind !== 'skip')
      if (!every || first === undefined || first.kind === 'comment' || first.kind === 'tape' || first.kind === 'word' && first.letter === 'O') return
      found.push({ line, from: first.from, to: first.from, old: undefined, number: next })
    }
    next += step
  })
  return found
}

/** What an old number means in the new text. */
class Meanings {
  readonly #sections: readonly Section[]
  readonly #bySection = new Map<string, number | 'several'>()
  readonly #first = new Map<number, number>()

  constructor(sections: readonly Section[]) {
    this.#sections = sections
  }

  add({ line, old, number }: NewNumber): void {
    if (old === undefined) return
    const key = `${sectionAt(this.#sections, line).first} ${old}`
    this.#bySection.set(key, this.#bySection.has(key) ? 'several' : number)
    if (!this.#first.has(old)) this.#first.set(old, number)
  }

  of(old: number, section: Section): number | 'several' | undefined {
    return this.#bySection.get(`${section.first} ${old}`)
  }

  anywhere(old: number): number | undefined {
    return this.#first.get(old)
  }
}

/** A pass of the sheet that names a number which the program lacks, or has twice, could cover other blocks afterwards. */
function passFault({ setup }: ProgramText, meanings: Meanings, numbers: readonly NewNumber[]): string | undefined {
  const named = (setup?.passes ?? []).flatMap(({ from, to }) => [from, to])
  if (named.length === 0) return undefined
  const counts = new Map<number, number>()
  for (const { old } of numbers) if (old !== undefined) counts.set(old, (counts.get(old) ?? 0) + 1)
  for (const number of named) {
    if (number === undefined || counts.get(number) === 1) continue
    if (meanings.anywhere(number) === undefined) {
      if (numbers.some(one => one.number === number)) return `A pass of the setup sheet names N${number}, which this program does not have now but would have then.`
    } else return `A pass of the setup sheet names N${number}, which stands before several blocks of this program: number them apart first.`
  }
  return undefined
}

interface Jump { readonly line: number, readonly from: number, readonly to: number, readonly number: number, readonly section: Section }

/** GOTO and M99 P: everything that names a sequence number without being one. */
function jumpsOf(program: ProgramText): Jump[] {
  return [...linesWith(program, /GOTO|P/i)].flatMap(line => readMarks(program, line).marks.flatMap((mark): Jump[] => {
    if (mark.kind !== 'number' && !(mark.kind === 'word' && mark.letter === 'P')) return []
    const one = targetAt(program, line, mark.from)
    return one?.target.kind === 'sequence' && !one.isDefinition ? [{ line, from: one.from, to: one.to, number: one.target.number, section: one.target.section }] : []
  }))
}

function refused(because: string): RenameAnswer {
  return { kind: 'refused', because }
}
