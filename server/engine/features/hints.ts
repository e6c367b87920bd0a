import { WordFlag } from '../nc/block.ts'
import type { Block } from '../nc/block.ts'
import type { ReplayedBlock } from '../machine/interpreter.ts'
import { clearancesOf, type Clearance } from './clearance-text.ts'
import type { ContactView } from './hover.ts'
import { motionsOfLine } from './motions-by-line.ts'
import { lengthNumber, type LengthUnit } from './number-text.ts'
import { lineText, type Place } from './program-text.ts'
import type { ProgramView } from './program-view.ts'

/** What is shown between the words without standing in the text. */
export interface Hint extends Pick<Place, 'line'> {
  readonly column: number
  readonly label: string
  readonly tooltip: string
}

/** What the user wants to see. */
export interface HintChoice {
  /** The motion code in force before blocks that move and do not write it. */
  readonly modes: boolean
  /** What expressions and settings come to. */
  readonly values: boolean
  /** What is proven of the distances over each block. */
  readonly clearances: boolean
}

/** Blocks looked at for one answer; a loop that goes round the lines shown longer is cut off. */
const MOST_BLOCKS = 20_000

/** The hints of lines [first, last], in order. A block that runs several times shows what holds the first time. */
export function hintsOf(view: ProgramView, contact: ContactView, first: number, last: number, choice: HintChoice): Hint[] {
  const hints: Hint[] = [], seen = new Set<number>()
  if (choice.modes || choice.values) {
    view.replay(first, last, MOST_BLOCKS, step => {
      if (seen.has(step.block.line)) return
      seen.add(step.block.line)
      if (choice.modes) hints.push(...modeHints(step))
      if (choice.values) hints.push(...valueHints(view, step))
    })
  }
  if (choice.clearances) for (let line = first; line <= last; line++) hints.push(...clearanceHints(view, contact, line))
  return hints.sort((a, b) => a.line - b.line || a.column - b.column)
}

function modeHints({ block, before, after }: ReplayedBlock): Hint[] {
  if (after.motion === undefined || after.motion !== before.motion || !movesByItself(block)) return []
  const at = block.wordStart[0] ?? block.start
  return [{ line: block.line, column: at - block.start, label: `G${after.motion}`, tooltip: `G${after.motion} is in force from an earlier block.` }]
}

/** Axis words, and no G code that could be the one that moves. */
function movesByItself({ letters, count }: Block): boolean {
  let hasAxis = false
  for (let i = 0; i < count; i++) {
    const letter = String.fromCharCode(letters[i] ?? 32)
    if (letter === 'G') return false
    if ('XYZABCUVW'.includes(letter)) hasAxis = true
  }
  return hasAxis
}

function valueHints({ text }: ProgramView, { block }: ReplayedBlock): Hint[] {
  const hints: Hint[] = []
  const add = (end: number, value: number | undefined, from: number) => {
    // What is a plain number already needs no second saying.
    if (!/[#[]/.test(text.slice(from, end))) return
    const label = value === undefined ? '= empty' : Number.isNaN(value) ? '= not known' : `= ${Number(value.toFixed(4))}`
    hints.push({ line: block.line, column: end - block.start, label, tooltip: 'What it comes to when the block first runs.' })
  }
  for (let i = 0; i < block.count; i++) {
    const flags = block.wordFlags[i] ?? 0
    if ((flags & (WordFlag.evaluated | WordFlag.unknown)) !== 0) add(block.wordEnd[i] ?? 0, block.values[i], block.wordStart[i] ?? 0)
  }
  for (const setting of block.settings) add(setting.end, setting.value, text.indexOf('=', setting.start))
  return hints
}

function clearanceHints(view: ProgramView, contact: ContactView, line: number): Hint[] {
  const motions = [...motionsOfLine(view.motions, line)]
  if (motions.length === 0) return []
  const figures = motions.map(motion => contact.figuresOf(motion)).filter(one => one !== undefined)
  const known = figures.length === motions.length ? clearancesOf(figures) : undefined
  if (known === undefined || known.length === 0) return []
  const unit: LengthUnit = view.setup?.unit === 25.4 ? 25.4 : 1
  const column = lineText(view, line).trimEnd().length
  return [{ line, column, label: known.filter(one => !one.beyond).map(one => shortText(one, unit)).join('  ') || 'nothing near', tooltip: 'Smallest proven distance from the part over the block; a minus is a depth.' }]
}

function shortText({ component, value }: Clearance, unit: LengthUnit): string {
  return `${component} ${lengthNumber(value, unit)}`
}

