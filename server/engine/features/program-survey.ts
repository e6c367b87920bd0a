import { isMachineMove, isReturnHome } from '../lint/motion-words.ts'
import type { InterpretedBlock } from '../machine/interpreter.ts'
import type { Block } from '../nc/block.ts'
import { findWord } from '../nc/words.ts'

/** From the smallest to the largest value seen; in the program's own unit. */
export interface Extent {
  readonly low: number
  readonly high: number
}

/** A stretch of blocks with one tool in the spindle, in the order of the text. 1-based lines, sequence numbers without N. */
export interface ToolSection {
  readonly firstLine: number
  readonly lastLine: number
  readonly firstNumber?: number
  readonly lastNumber?: number
}

export interface ToolUse {
  /** Number of the tool in the spindle. */
  readonly number: number
  readonly sections: readonly ToolSection[]
  /** H and D numbers given while it was in the spindle. */
  readonly lengthOffsets: readonly number[]
  readonly radiusOffsets: readonly number[]
  /** S and F words while it was in the spindle, as written. */
  readonly speeds?: Extent
  readonly feeds?: Extent
  /** Comments of the program that speak of the tool, as they stand. */
  readonly comments: readonly string[]
}

/** What a program shows of itself without a setup sheet. */
export interface ProgramSurvey {
  /** The program's unit, where all its blocks are in one and it says so. */
  readonly unit?: 'mm' | 'inch'
  readonly offsets: readonly string[]
  /** Letters of the rotary axes it has words for. */
  readonly rotary: readonly string[]
  /** Programmed ends of its blocks, by axis letter: lengths in the program's unit, degrees. Places in machine coordinates do not count. */
  readonly extents: ReadonlyMap<string, Extent>
  readonly tools: readonly ToolUse[]
  /** Moves before any tool is called. */
  readonly movesWithoutTool: boolean
  /** Calls programs that are not in its text. */
  readonly callsOthers: boolean
}

/** Comments that are quoted for one tool. */
const MOST_COMMENTS = 6

interface UseInMaking {
  readonly number: number
  readonly sections: ToolSection[]
  readonly lengthOffsets: Set<number>
  readonly radiusOffsets: Set<number>
  speeds?: Extent
  feeds?: Extent
  readonly comments: Set<string>
}

/** Gathers what a program shows, block by block as it runs. */
export class ProgramSurveyor {
  readonly #text: string
  readonly #units = new Set<number | undefined>()
  readonly #offsets = new Set<string>()
  readonly #rotary = new Set<string>()
  readonly #extents = new Map<string, Extent>()
  readonly #tools = new Map<number, UseInMaking>()
  /** Every comment of the program once, with the line it stands on. */
  readonly #comments = new Map<string, number>()
  #section: { tool: number, firstLine: number, lastLine: number, firstNumber?: number, lastNumber?: number } | undefined
  #movesWithoutTool = false

  constructor(text: string) {
    this.#text = text
  }

  readonly see = (step: InterpretedBlock): void => {
    const { block, after } = step
    for (const { start, end } of block.comments) this.#note(this.#text.slice(start, end), block.line)
    if (step.endMotion > step.firstMotion) {
      this.#units.add(after.unit)
      if (!isMachineMove(block) && !isReturnHome(block)) {
        this.#offsets.add(after.workOffset ?? 'G54')
        this.#measure(step)
      }
      if (after.tool === undefined) this.#movesWithoutTool = true
    }
    this.#seeTool(step)
  }

  /** `callsOthers`: programs in files of their own have been run. */
  finish(callsOthers: boolean): ProgramSurvey {
    this.#endSection()
    const [unit, ...more] = this.#units
    return {
      ...(more.length > 0 || unit === undefined ? {} : { unit: unit === 1 ? 'mm' : 'inch' }),
      offsets: [...this.#offsets].sort(),
      rotary: [...this.#rotary].sort(),
      extents: this.#extents,
      tools: [...this.#tools.values()].sort((a, b) => a.number - b.number).map(use => ({
        ...use,
        lengthOffsets: [...use.lengthOffsets].sort((a, b) => a - b),
        radiusOffsets: [...use.radiusOffsets].sort((a, b) => a - b),
        comments: [...new Set([...use.comments, ...this.#commentsOn(use)])].slice(0, MOST_COMMENTS),
      })),
      movesWithoutTool: this.#movesWithoutTool,
      callsOthers,
    }
  }

  #note(comment: string, line: number): void {
    const words = comment.replace(/^[(;]|\)$/g, '').replace(/[\p{Cc}\p{Zl}\p{Zp}\s]+/gu, ' ').trim()
    if (words !== '' && !this.#comments.has(words)) this.#comments.set(words, line)
  }

  #measure({ block, after }: InterpretedBlock): void {
    for (let i = 0; i < block.count; i++) {
      const letter = String.fromCharCode(block.letters[i] ?? 0)
      const at = after.position[letter]
      if (at === undefined || !Number.isFinite(at) || !'XYZABCUVW'.includes(letter)) continue
      const isRotary = 'ABC'.includes(letter)
      if (isRotary) this.#rotary.add(letter)
      this.#extents.set(letter, widened(this.#extents.get(letter), isRotary ? at * 180 / Math.PI : at / (after.unit ?? 1)))
    }
  }

  #seeTool({ block, before, after }: InterpretedBlock): void {
    const { tool } = after
    if (tool !== this.#section?.tool) this.#endSection()
    if (tool === undefined || tool === 0 || block.percent) return
    const use = this.#useOf(tool)
    if (this.#section === undefined) this.#section = { tool, firstLine: block.line + 1, lastLine: block.line + 1 }
    this.#section.lastLine = block.line + 1
    if (block.sequence >= 0) {
      this.#section.firstNumber ??= block.sequence
      this.#section.lastNumber = block.sequence
    }
    // The comment of the change itself speaks of the tool, whatever its words.
    if (tool !== before.tool) for (const { start, end } of block.comments) use.comments.add(this.#text.slice(start, end).replace(/^[(;]|\)$/g, '').trim())
    const speed = valueOf(block, 'S'), feed = valueOf(block, 'F')
    if (speed !== undefined && speed > 0) use.speeds = widened(use.speeds, speed)
    // An inverse time is no feed that a tool could be held to.
    if (feed !== undefined && feed > 0 && after.feedMode !== 93) use.feeds = widened(use.feeds, feed)
    // A number that is still in force from the tool before says nothing about this one.
    const length = valueOf(block, 'H'), radius = valueOf(block, 'D')
    if (length !== undefined && length > 0 && length === after.lengthOffset) use.lengthOffsets.add(length)
    if (radius !== undefined && radius > 0 && radius === after.radiusOffset) use.radiusOffsets.add(radius)
  }

  #useOf(number: number): UseInMaking {
    const known = this.#tools.get(number)
    if (known !== undefined) return known
    const use: UseInMaking = { number, sections: [], lengthOffsets: new Set(), radiusOffsets: new Set(), comments: new Set() }
    this.#tools.set(number, use)
    return use
  }

  #endSection(): void {
    if (this.#section !== undefined) {
      const { tool, ...section } = this.#section
      this.#useOf(tool).sections.push(section)
    }
    this.#section = undefined
  }

  /** Comments anywhere that name the tool or its H number. */
  #commentsOn({ number, lengthOffsets }: UseInMaking): string[] {
    const named = new RegExp(`\\bT(?:OOL)?[\\s.:#]*(?:N(?:O|UMBER)[\\s.:#]*)?0*${number}(?![\\d.])`, 'i')
    const lengths = [...lengthOffsets].map(offset => new RegExp(`\\bH\\s*0*${offset}(?![\\d.])`, 'i'))
    return [...this.#comments.keys()].filter(words => named.test(words) || lengths.some(length => length.test(words)))
  }
}

function widened(extent: Extent | undefined, value: number): Extent {
  return { low: Math.min(extent?.low ?? value, value), high: Math.max(extent?.high ?? value, value) }
}

function valueOf(block: Block, letter: string): number | undefined {
  const word = findWord(block, letter)
  const value = word < 0 ? undefined : block.values[word]
  return value === undefined || !Number.isFinite(value) ? undefined : value
}
