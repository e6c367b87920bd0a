import type { Component, Edit } from '../../shared/finding.ts'
import { newToolPose, toolPose } from '../../shared/kinematics.ts'
import type { Setup } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { NO_TOOL } from '../../shared/toolpath.ts'
import { nameOf } from './contact/near-runs.ts'
import { LineWords } from './lint/line-words.ts'
import { linesOfSpan, mendProgram, type HeldBack, type MendedPlace, type MendInput, type MendOptions, type RefusedPlace } from './mend-program.ts'
import type { MendProof } from './mend-proof.ts'
import type { WordChange } from './mend/block-text.ts'
import type { FaultySpan } from './mend/faulty-spans.ts'
import { sayMade } from './mend/mend-words.ts'
import type { FigureChange } from './mend/try-steps.ts'
import type { Scene } from './open-scene.ts'
import { reachOf, type Reach } from './reach-tool.ts'
import type { ReadProgram } from './read-program.ts'

export type { HeldBack, MendOptions, Reach }

/** A figure as findings give it: the middle of its proven interval and half of its width, mm; negative: penetration. */
export interface ProvenFigure { readonly value: number, readonly bound: number }

/** What was changed in one line, as it is told. */
export interface LineChange {
  /** 0-based line of the text before. */
  readonly line: number
  /** "N120", or "line 12" where it has no number. */
  readonly name: string
  readonly words: readonly WordChange[]
  /** Blocks put in before it. */
  readonly inserted: readonly string[]
}

interface PlaceReport {
  /** The sheet has a plan of corrections for it. */
  readonly isPlanned: boolean
  /** Blocks at fault, by name. */
  readonly first: string
  readonly last: string
  /** 0-based lines. */
  readonly firstLine: number
  readonly lastLine: number
  /** Rules that were broken. */
  readonly rules: readonly string[]
}

export interface MendedReport extends PlaceReport {
  /** The corrections in words, in their order. */
  readonly corrections: readonly string[]
  /** What was tried before and did not do. */
  readonly rejected: readonly string[]
  /** Where a step of the sheet's plan could not be made, and why. */
  readonly stays: readonly string[]
  readonly figures: readonly { readonly component: Component, readonly against: string, readonly keep: number, readonly before: ProvenFigure, readonly after: ProvenFigure | undefined }[]
  readonly changes: readonly LineChange[]
  readonly edits: readonly Edit[]
  /** Faults of the place that stay. */
  readonly remaining: number
  /** mm that now stay standing at most where the cutter cut before. */
  readonly standing: number
  /** mm of the path that are left out. */
  readonly leftOut: number
  /** Where the tool point was at the ends of the changed motions: three numbers each, mm, part frame. */
  readonly where: readonly number[]
}

export interface RefusedReport extends PlaceReport {
  readonly why: readonly string[]
}

/** The outcome of a mend as plain data. */
export interface MendReport {
  readonly text: string
  readonly edits: readonly Edit[]
  readonly mended: readonly MendedReport[]
  readonly refused: readonly RefusedReport[]
  /** Stick-outs that would end what the path could not. */
  readonly reach: readonly Reach[]
  /** What the whole check of the mended text has looked at, and what not; absent where it has not been made, or nothing was changed. */
  readonly proof?: MendProof
}

/** Mends a program and says what was done; undefined once nobody waits any more. */
export function mendReport(input: MendInput): MendReport | undefined {
  const answer = mendProgram(input)
  if (!answer.complete) return undefined
  const words = new LineWords(input.program.text, input.scene.machine, input.program.lineStarts)
  const place = (span: FaultySpan): PlaceReport => {
    const { first: firstLine, last: lastLine } = linesOfSpan(span, input.program)
    return { firstLine, lastLine, first: words.name(firstLine), last: words.name(lastLine), rules: rulesOf(span), isPlanned: span.isPlanned === true }
  }
  const after = answer.after ?? { program: input.program, figures: input.figures }
  // A mend of some lines is no answer about the whole program.
  const reach = input.lines !== undefined && answer.edits.length > 0 ? [] : reachOf(input, after.program, after.figures)
  if (input.cancellation.cancelled()) return undefined
  return {
    reach,
    text: answer.text,
    edits: answer.edits,
    mended: answer.mended.map(each => ({ ...place(each.span), ...mended(each, words, input) })),
    refused: answer.refused.map((each: RefusedPlace) => ({ ...place(each.span), why: each.why })),
  }
}

function mended({ attempt, rejected, changes, remaining }: MendedPlace, words: LineWords, { program, scene }: MendInput): Omit<MendedReport, keyof PlaceReport> {
  return {
    corrections: attempt.steps.map(sayMade),
    rejected: attempt.stays.length > 0 ? [] : rejected,
    stays: attempt.stays,
    figures: attempt.figures.map(figure => ({
      component: figure.component, against: againstOf(figure, scene.setup), keep: figure.keep,
      before: proven(figure.before), after: figure.after === undefined ? undefined : proven(figure.after),
    })),
    changes: changes.map(({ line, words: changed, inserted }) => ({ line, name: words.name(line), words: changed, inserted })),
    edits: changes.flatMap(change => change.edits),
    remaining,
    standing: attempt.standing,
    leftOut: attempt.steps.reduce((sum, { step, most }) => step.by === 'end-at' ? sum + most : sum, 0),
    where: [...attempt.wanted.keys()].flatMap(motion => placeOfEnd(motion, program, scene)),
  }
}

function placeOfEnd(motion: number, { toolpath, kinematics }: ReadProgram, { setup }: Scene): number[] {
  const width = toolpath.axes.length, tool = setup?.tools[toolpath.tool[motion] ?? NO_TOOL], pose = newToolPose()
  toolPose(kinematics, toolpath.joints.subarray((motion + 1) * width, (motion + 2) * width), tool === undefined ? 0 : gaugeLength(tool), pose)
  return Array.from(pose.point)
}

function againstOf({ against }: FigureChange, setup: Setup | undefined): string {
  return against === undefined || setup === undefined ? 'part' : nameOf(against, setup, {})
}

function proven({ value, certified }: { readonly value: number, readonly certified: number }): ProvenFigure {
  return { value: (value + certified) / 2, bound: (value - certified) / 2 }
}

function rulesOf({ faults, isPlanned, isFast, misses }: FaultySpan): string[] {
  if (isPlanned === true) return ['the sheet\'s plan']
  return [...new Set([...faults.map(({ verdict }) => verdict.rule), ...isFast === true ? ['axis-rate'] : [], ...misses === true ? ['axis-off-point'] : []])].sort()
}
