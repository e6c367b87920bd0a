import type { Level } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Machine } from '../../../shared/machine.ts'
import type { Report } from '../../../shared/problem.ts'
import type { Setup } from '../../../shared/setup.ts'
import type { Span } from '../../../shared/span.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { ModalState } from '../machine/modal-state.ts'
import type { Block } from '../nc/block.ts'
import type { TextChange } from '../nc/text-change.ts'
import type { Fix, FixPlace } from './fix.ts'
import type { MotionFaults } from './motion-faults.ts'
import type { Notes } from './notes.ts'

// A rule is a page first and a check second: the same words serve the tests, the rule pages, the
// editor's link and `toolwake explain`.

export type RuleGroup = 'text' | 'state' | 'motion' | 'contact' | 'result' | 'inputs'

type ExamplePoint = readonly [number, number, number]

/** A body an example needs, small enough to say in words: mm, part frame. */
export type ExampleBody =
  | {
    readonly box: { readonly min: ExamplePoint, readonly max: ExamplePoint }
    /** What is wrong with its triangles: one of no area is added, one is left out, all are turned over. */
    readonly fault?: 'degenerate' | 'open' | 'inside-out'
  }
  /** A plate about the Z axis: its top is the plane z = 0. */
  | { readonly plate: { readonly size: number, readonly thickness: number } }
  /** A cylinder about the Z axis, its top at z = 0; the corners of its facets lie on the true circle. */
  | { readonly cylinder: { readonly diameter: number, readonly height: number, readonly facets: number } }

/**
 * A program whose lines may be followed by remarks: `^^^ error rule-id: words the message holds`.
 * Remark lines are taken out before the program is read.
 */
export interface RuleExample {
  readonly title: string
  readonly program: string
  /** A setup sheet as a user would write it. */
  readonly setup?: string
  /** Names of further sheets that would serve the program as well. */
  readonly otherSheets?: readonly string[]
  /** A machine file; absent: the built-in machine. */
  readonly machine?: string
  /** Meshes by the file name the sheet uses; STL text can be given whole. */
  readonly meshes?: Readonly<Record<string, ExampleBody | { readonly stl: string }>>
}

export interface RuleContext {
  /** The program, so that a rule that looks at motions can find the word that asked for them. */
  readonly text: string
  readonly setup: Setup | undefined
  readonly machine: Machine
  readonly kinematics: Kinematics
}

/** A place that a rule remembers. */
export interface Place {
  readonly span: Span
  /** Path of the called file it lies in; undefined in the program itself. */
  readonly file: string | undefined
}

/** One block with the state on both sides of it. The records are used again: copy what is kept. */
export interface BlockStep {
  readonly block: Block
  readonly before: Readonly<ModalState>
  readonly after: Readonly<ModalState>
  /** Motions of the block: [firstMotion, endMotion) in the toolpath under construction. */
  readonly firstMotion: number
  readonly endMotion: number
  /** Path of the called file that the block stands in; undefined in the program itself. */
  readonly file: string | undefined
}

/**
 * What a rule wants to be told, and what it keeps. An edit is read again from the checkpoint before it to where
 * everything stands as it stood; so what a rule keeps lies here in the open, to be kept at checkpoints and taken over.
 */
export interface RuleVisitor {
  /** Each block, in the order of execution. What is reported here is about this block. */
  readonly block?: (step: BlockStep) => void
  /** Motions [first, end) of the finished toolpath, stretch after stretch of whole blocks, each block judged by itself alone; what is wrong goes to `faults`. */
  readonly motions?: (toolpath: Toolpath, first: number, end: number) => void
  /** After the last block, with the finished motions and the offsets at which the lines of the text start. `before`: after an edit. */
  readonly end?: (toolpath: Toolpath, lineStarts: Uint32Array, before?: BeforeEdit) => void
  /** What `end` has worked out of the whole text, for the run after an edit; it is never changed. */
  readonly conclusion?: () => unknown
  /** What the rule remembers from block to block: plain data in fields that are there from the start; values are replaced, never changed. */
  readonly memory?: object
  /** What it adds up over the blocks; nothing that it decides by while they run. */
  readonly counts?: Record<string, number>
  readonly notes?: Notes
  readonly faults?: MotionFaults
}

/** The run before an edit, as far as one rule is concerned. */
export interface BeforeEdit {
  readonly text: string
  readonly lineStarts: Uint32Array
  readonly change: TextChange
  readonly conclusion: unknown
}

export interface Rule {
  /** Names the fault in kebab-case, reads as "allow ID", never changes. */
  readonly id: string
  readonly level: Level
  readonly group: RuleGroup
  /** Needs the figures of the contact search, as all rules on contact and result do. */
  readonly isSearched?: true
  readonly docs: {
    /** What it finds. */
    readonly what: string
    /** Why it matters at the machine. */
    readonly why: string
    /** What to do instead. */
    readonly instead: string
  }
  /** Exactly the findings of this rule that their remarks mark. */
  readonly bad: readonly RuleExample[]
  /** Has no finding of this rule. */
  readonly good: readonly RuleExample[]
  /** Judges each text by itself: a called file has a visitor of its own. */
  readonly isPerText?: true
  /** Absent where another layer of the engine (reader, interpreter, contact search) reports the fault. */
  readonly start?: (report: Report, context: RuleContext) => RuleVisitor
  /** A sure way to mend a finding in the program's own text; undefined where there is none at this place. */
  readonly fix?: (place: FixPlace) => Fix | undefined
}

/** Gives a rule its type; the object is the rule. */
export function defineRule(rule: Rule): Rule {
  return rule
}

/** Whether a rule can only report once the contact search has run. */
export function needsSearch({ group, isSearched }: Rule): boolean {
  return group === 'contact' || group === 'result' || isSearched === true
}
