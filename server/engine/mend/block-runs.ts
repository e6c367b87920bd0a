import { MotionFlag, MotionKind, type Toolpath } from '../../../shared/toolpath.ts'
import { buildDialect, codeOf, type Dialect } from '../machine/dialect.ts'
import { interpret, type InterpretInput, type InterpretedBlock } from '../machine/interpreter.ts'
import type { ModalState } from '../machine/modal-state.ts'
import { cloneState } from '../machine/start-state.ts'
import { wordAt } from '../nc/words.ts'
import type { Word } from '../nc/block.ts'
import type { Effect } from '../nc/codes.ts'

/** One run of one block of the program, with all that is needed to write its words anew. */
export interface BlockRun {
  /** Its number among the runs that were kept, in the order of execution. */
  readonly index: number
  /** 0-based. */
  readonly line: number
  /** Offsets of the line without its line end. */
  readonly start: number
  readonly end: number
  /** Sequence number, or -1. */
  readonly sequence: number
  readonly words: readonly Word[]
  readonly hasComment: boolean
  /** Motions [firstMotion, endMotion) of the program. */
  readonly firstMotion: number
  readonly endMotion: number
  readonly before: ModalState
  readonly after: ModalState
  /** Why its axis words cannot be written anew; undefined where they can. */
  readonly unwritable: string | undefined
  /** It goes to joint values: machine coordinates, or home. */
  readonly goesByJoints: boolean
  /** It can be made two blocks: nothing but a straight motion stands in it. */
  readonly canPart: boolean
}

/** Codes whose block gives its axis words to something else than a motion in the frame in force. */
const otherUse: Readonly<Partial<Record<Effect, string>>> = {
  'machine-frame': 'it counts in machine coordinates', 'home': 'it goes home', 'probe': 'it probes', 'cycle': 'it is a fixed cycle',
  'call': 'it calls a program', 'macro': 'it calls a program', 'macro-modal': 'it calls a program', 'offset-write': 'it writes an offset',
  'set-position': 'it sets the position', 'local-shift': 'it shifts the frame', 'orient-tool': 'it turns the tool to the plane',
  'tilted-plane-on': 'it lays the working plane', 'dwell': 'it dwells',
}

/** The runs of the blocks that make these motions, and of those between and right behind them. */
export class BlockRuns {
  readonly runs: readonly BlockRun[]
  /** How often lines ran that ran more than once, in all. */
  readonly timesRun: ReadonlyMap<number, number>
  readonly #byMotion = new Map<number, BlockRun>()
  readonly #toolpath: Toolpath

  /** `spans`: motions [first, end) that are of interest, in rising order; `toolpath`: as the program was read. */
  constructor(text: string, toolpath: Toolpath, input: InterpretInput, spans: readonly (readonly [number, number])[]) {
    this.#toolpath = toolpath
    const runs: BlockRun[] = [], timesRun = new Map<number, number>(), dialect = buildDialect(input.machine.control)
    let span = 0
    interpret(text, {
      ...input,
      onBlock: step => {
        if (step.isRepeated) timesRun.set(step.block.line, (timesRun.get(step.block.line) ?? 1) + 1)
        while (span < spans.length && step.firstMotion > (spans[span]?.[1] ?? 0)) span++
        const [first, end] = spans[span] ?? [Infinity, Infinity]
        // One motion behind the end is wanted too: its block may need a word that it could leave out so far.
        if (step.endMotion < first || step.firstMotion > end) return
        runs.push(copyOf(step, runs.length, text, dialect))
      },
    })
    this.runs = runs
    this.timesRun = timesRun
    for (const run of runs) for (let motion = run.firstMotion; motion < run.endMotion; motion++) this.#byMotion.set(motion, run)
  }

  of(motion: number): BlockRun | undefined {
    return this.#byMotion.get(motion)
  }

  /** Why the end of a motion must stay where it is; undefined where the program's text can move it. */
  readonly fixed = (motion: number): string | undefined => {
    const { kind, flags, ownLine, count } = this.#toolpath, run = this.of(motion)
    if ((ownLine?.[motion] ?? -1) >= 0) return 'the motion stands in a file of its own, which is called'
    if (run === undefined) return 'its block is not known'
    const name = run.sequence >= 0 ? `N${run.sequence}` : `line ${run.line + 1}`
    if (run.unwritable !== undefined) return `${name} cannot be changed: ${run.unwritable}`
    if (run.endMotion - run.firstMotion !== 1) return run.after.motion === 0 ? `${name} is a rapid in which each axis runs for itself` : `${name} runs as several motions`
    if (((flags[motion] ?? 0) & MotionFlag.unknownStart) !== 0) return `where ${name} starts is not known`
    if (!isStraight(kind[motion])) return `${name} is an arc`
    return motion + 1 < count && !isStraight(kind[motion + 1]) ? `an arc begins where ${name} ends` : undefined
  }

  /** Whether a motion's block can be made two. */
  readonly canPart = (motion: number): boolean => this.of(motion)?.canPart === true
}

function isStraight(kind: number | undefined): boolean {
  return kind === MotionKind.joints || kind === MotionKind.toolLine
}

function copyOf({ block, before, after, firstMotion, endMotion }: InterpretedBlock, index: number, text: string, dialect: Dialect): BlockRun {
  const words = Array.from({ length: block.count }, (_, i) => wordAt(block, i))
  const codes = words.filter(({ letter }) => letter === 'G' || letter === 'M')
  const effects = codes.map(({ letter, value }) => codeOf(dialect, letter === 'M' ? 'M' : 'G', value)?.effect)
  const isMotion = effects.every((effect, i) => effect === 'motion' && codes[i]?.letter === 'G')
  const onlyMotion = isMotion && words.every(({ letter }) => 'GFXYZABCIJK'.includes(letter)) && block.settings.length === 0 && block.flow === undefined
  return {
    index, line: block.line, start: block.start, end: block.end, sequence: block.sequence, words, hasComment: block.comments.length > 0,
    firstMotion, endMotion, before: cloneState(before), after: cloneState(after),
    unwritable: whyNot(words, effects, before, after, text),
    goesByJoints: effects.some(effect => effect === 'machine-frame' || effect === 'home'),
    canPart: onlyMotion && endMotion - firstMotion === 1,
  }
}

function isCompensated({ radiusCompensation }: ModalState): boolean {
  return radiusCompensation === 41 || radiusCompensation === 42
}

function whyNot(words: readonly Word[], effects: readonly (Effect | undefined)[], before: ModalState, after: ModalState, text: string): string | undefined {
  const other = effects.map(effect => effect === undefined ? undefined : otherUse[effect]).find(each => each !== undefined)
  if (other !== undefined) return other
  if (after.motion === 2 || after.motion === 3) return 'it is an arc'
  if (after.motion !== 0 && after.motion !== 1) return 'a fixed cycle is on'
  if (isCompensated(after)) return 'radius compensation is on'
  if (isCompensated(before)) return 'radius compensation ends in it'
  if (after.unsimulated !== undefined) return `${after.unsimulated} is not simulated`
  const workedOut = words.find(({ letter, span }) => 'XYZABCUVWIJKF'.includes(letter) && /[#[]/.test(text.slice(span.start, span.end)))
  return workedOut === undefined ? undefined : `${text.slice(workedOut.span.start, workedOut.span.end)} is worked out by the program`
}
