import type { Cancellation } from '../../shared/cancellation.ts'
import type { Edit } from '../../shared/finding.ts'
import { RotarySolver } from '../../shared/inverse-kinematics.ts'
import type { MendStep } from '../../shared/setup.ts'
import { NO_TOOL } from '../../shared/toolpath.ts'
import { holdsIn } from './contact/effective-limits.ts'
import type { ContactFigures } from './contact/contact-figures.ts'
import { KnownFigures } from './contact/known-figures.ts'
import { motionFaults, type MotionFault } from './contact/motion-faults.ts'
import type { ObstacleName } from './contact/near-figure.ts'
import type { Obstacle } from './contact/obstacle.ts'
import type { SceneMeshes } from './contact/scene-searcher.ts'
import type { SearchInput } from './contact/search-motions.ts'
import { defaultEpsilon } from './geometry/tolerance.ts'
import type { MeshTree } from './mesh/mesh-tree.ts'
import { BlockRuns } from './mend/block-runs.ts'
import { applyEdits, FreeNumbers } from './mend/block-text.ts'
import { chooseForSpan, type Choice } from './mend/choose-steps.ts'
import { faultySpans, reachBeside, type FaultySpan } from './mend/faulty-spans.ts'
import { NumberStyle } from './mend/number-style.ts'
import { ProgramFrames } from './mend/program-frames.ts'
import type { MendWork } from './mend/try-steps.ts'
import { BlockWriter, type BlockChange, type WantedMotion } from './mend/write-blocks.ts'
import { aimsOf, missesOf } from './mend-aims.ts'
import { placesInText, type SearchedText } from './mended-places.ts'
import { easeFeeds, fastMotions, type FastMotion } from './mend-feeds.ts'
import type { Scene } from './open-scene.ts'
import { readProgram, type ReadProgram } from './read-program.ts'
import { searchFindings } from './contact-findings.ts'
import { figuresAfter, LineMap, originsOf, worseContact } from './recheck-mend.ts'
import { searchInputOf } from './search-input.ts'
import { worseFindings, type Judged, type Worse } from './worse-findings.ts'

/** What a mend may be asked for besides the program: plain data. */
export interface MendOptions {
  /** Corrects faults in these 0-based lines alone. */
  readonly lines?: { readonly first: number, readonly last: number }
  /** Corrects what breaks these rules alone. */
  readonly rules?: readonly string[]
  /** Faults that a reviewer has accepted: a rule on 0-based lines. They stay. */
  readonly accepted?: readonly { readonly rule: string, readonly first: number, readonly last: number }[]
  /** Places that stay as they are, and why: their 0-based lines as `linesOfSpan` tells them. */
  readonly heldBack?: readonly HeldBack[]
}

/** A place whose correction has made something else worse. */
export interface HeldBack { readonly first: number, readonly last: number, readonly why: string }

export interface MendInput extends MendOptions {
  readonly program: ReadProgram
  readonly scene: Scene
  readonly mesh: MeshTree
  readonly obstacles: readonly Obstacle[]
  /** Figures of the whole program. */
  readonly figures: ContactFigures
  readonly cancellation: Cancellation
  readonly onProgress?: (done: number, total: number) => void
}

/** A place that was corrected. */
export interface MendedPlace extends Choice {
  readonly attempt: NonNullable<Choice['attempt']>
  readonly changes: readonly BlockChange[]
  /** Faults of the place that the new text still has. */
  readonly remaining: number
}

/** A place that stays as it is. */
export interface RefusedPlace {
  readonly span: FaultySpan
  readonly why: readonly string[]
}

export interface MendAnswer {
  readonly text: string
  readonly edits: readonly Edit[]
  readonly mended: readonly MendedPlace[]
  readonly refused: readonly RefusedPlace[]
  /** The changed program as read again, with its figures; undefined where nothing was changed. */
  readonly after?: { readonly program: ReadProgram, readonly figures: ContactFigures }
  /** False when the asker went away before the end. */
  readonly complete: boolean
}

/**
 * Corrects what the search has found in a program, by the least changes of its text, and proves the outcome: the changed
 * text is read and searched again, and what would make anything worse is taken back.
 */
export function mendProgram(input: MendInput): MendAnswer {
  const { program, scene, mesh, obstacles, figures, cancellation, lines } = input
  const search = searchInputOf(program, scene, defaultEpsilon)
  const unchanged = { text: program.text, edits: [], mended: [], refused: [], complete: true }, calledOff = { ...unchanged, complete: false }
  if (search === undefined) return unchanged
  const { toolpath } = program
  const isAskedLine = (motion: number) => {
    const line = toolpath.line[motion] ?? 0
    return lines === undefined || line >= lines.first && line <= lines.last
  }
  const isRule = (rule: string) => input.rules?.includes(rule) !== false
  const isAsked = ({ motion, verdict }: MotionFault) => {
    const line = toolpath.line[motion] ?? 0
    return isAskedLine(motion) && isRule(verdict.rule) && input.accepted?.some(({ rule, first, last }) => rule === verdict.rule && line >= first && line <= last) !== true
  }
  const plans = plansOf(program, scene)
  const aimOf = aimsOf(program, scene)
  const missing = !isRule('axis-off-point') ? [] : missesOf(program, scene, aimOf, cancellation).filter(motion => plans[motion] === undefined && isAskedLine(motion))
  const spans = [
    ...input.rules === undefined ? plannedSpans(plans, program, lines) : [], ...faultySpans(motionFaults(search, figures).filter(fault => !isPlanned(plans, fault) && isAsked(fault)), missing),
  ].sort((a, b) => a.first - b.first)
  const fast = !isRule('axis-rate') ? [] : fastMotions(program, scene, cancellation).filter(({ motion }) => isAskedLine(motion) && plans[motion]?.every(({ by }) => by !== 'ease') !== true)
  if (cancellation.cancelled()) return calledOff
  if (spans.length + fast.length === 0) return unchanged
  const tools = makeTools(input, { part: mesh, obstacles }, spans, fast, aimOf)
  if (cancellation.cancelled()) return calledOff
  const choices: Choice[] = easeFeeds(fast, tools.work)
  for (const [done, span] of spans.entries()) {
    if (cancellation.cancelled()) return calledOff
    input.onProgress?.(done, spans.length + 1)
    choices.push(...chooseForSpan(span, motion => plans[motion], tools.work, each => heldBackAs(each, input) !== undefined))
  }
  input.onProgress?.(spans.length, spans.length + 1)
  return settle(input, choices.map(choice => heldBack(choice, input)), tools)
}

/** Refused where its correction has made something worse that is not searched here. */
function heldBack(choice: Choice, input: MendInput): Choice {
  const held = choice.attempt === undefined ? undefined : heldBackAs(choice.span, input)
  return held === undefined ? choice : { ...choice, attempt: undefined, rejected: [...choice.rejected, `${wordsOf(choice.attempt)}: ${held.why}`] }
}

function heldBackAs(span: FaultySpan, { program, heldBack: places }: MendInput): HeldBack | undefined {
  const { first, last } = linesOfSpan(span, program)
  return places?.find(place => place.first === first && place.last === last)
}

function wordsOf(attempt: Choice['attempt']): string {
  return (attempt?.steps ?? []).map(({ step }) => step.by).join(', then ')
}

/** First and last 0-based line of the blocks at fault. */
export function linesOfSpan(span: FaultySpan, { toolpath }: ReadProgram): { readonly first: number, readonly last: number } {
  const motions = span.faults.length === 0 ? [span.first, span.last] : span.faults.map(({ motion }) => motion)
  const lines = motions.map(motion => toolpath.line[motion] ?? 0)
  return { first: lines.reduce((a, b) => Math.min(a, b)), last: lines.reduce((a, b) => Math.max(a, b)) }
}

interface MendTools { readonly work: MendWork, readonly writer: () => BlockWriter }

function makeTools(
  { program, scene, figures, cancellation }: MendInput, meshes: SceneMeshes, spans: readonly FaultySpan[], fast: readonly FastMotion[], aimOf: MendWork['aimOf'],
): MendTools {
  const { machine, setup } = scene, { text, toolpath, kinematics, programs } = program
  const search = searchInputOf(program, scene, defaultEpsilon)
  if (search === undefined) throw new Error('a program that cannot be searched cannot be mended')
  const wanted = joinRanges([
    ...spans.map(({ first, last }): [number, number] => [Math.max(0, first - reachBeside), last + 1 + reachBeside]),
    ...fast.map(({ motion }): [number, number] => [motion, motion + 1]),
  ])
  const runs = new BlockRuns(text, toolpath, { machine, setup, kinematics, report: () => {}, programs, cancellation }, wanted)
  const style = new NumberStyle(text, machine)
  const frames = new ProgramFrames(machine, setup, kinematics, style, new RotarySolver(kinematics, machine.axes.map(axis => axis.range)))
  return {
    work: { known: new KnownFigures(), search, meshes, machine, wasFaulty: faultyIn(search, figures), aimOf, barriers: (setup?.barriers ?? []).map(({ name }) => name), figures, runs, frames, cancellation },
    writer: () => new BlockWriter(text, runs, frames, style, new FreeNumbers(text), toolpath, machine.control.inverseTime),
  }
}

function faultyIn(search: SearchInput, figures: ContactFigures): MendWork['wasFaulty'] {
  const key = (motion: number, component: string, against: ObstacleName | undefined) => `${motion} ${component} ${against === undefined ? '' : `${against.kind} ${against.index}`}`
  const known = new Set(motionFaults(search, figures).map(({ motion, component, against }) => key(motion, component, against)))
  return (motion, component, against) => known.has(key(motion, component, against))
}

/** Writes the corrections, reads and searches the new text, and takes back what made something worse until nothing is. */
function settle(input: MendInput, choices: readonly Choice[], { work, writer }: MendTools): MendAnswer {
  const { program, scene, cancellation } = input
  const refused: RefusedPlace[] = choices.filter(({ attempt }) => attempt === undefined).map(({ span, rejected }) => ({ span, why: rejected }))
  const before: Judged = { program, findings: [...program.findings, ...searchFindings(program, scene, input.figures)] }
  let kept = choices.flatMap(choice => choice.attempt === undefined ? [] : [{ ...choice, attempt: choice.attempt }])
  for (;;) {
    if (kept.length === 0) return { text: program.text, edits: [], mended: [], refused, complete: !cancellation.cancelled() }
    const drop = (motion: number, why: string) => {
      const gone = nearest(kept, motion)
      kept = kept.filter(each => each !== gone)
      refused.push({ span: gone.span, why: [...gone.rejected, `${wordsOf(gone.attempt)}: ${why}`] })
    }
    if (cancellation.cancelled()) return { text: program.text, edits: [], mended: [], refused, complete: false }
    const written = writer().write(mergeWanted(kept.map(({ attempt }) => attempt.wanted)))
    if ('why' in written) {
      drop(written.motion, written.why)
      continue
    }
    const edits = written.changes.flatMap(change => change.edits)
    const text = applyEdits(program.text, edits)
    const again = readProgram({ path: program.path, text }, scene, { cancellation, programs: program.programs })
    const checked = recheck(input, before, again, edits, work)
    if (checked === undefined) return { text: program.text, edits: [], mended: [], refused, complete: false }
    const [worst] = checked.worse
    if (worst !== undefined) {
      drop(motionOfLine(program, worst.line, kept), worst.why)
      continue
    }
    const inText = placesInText({ program: again, ...checked }, scene, cancellation)
    const mended = kept.map(choice => ({ ...choice, ...inText(choice), changes: written.changes.filter(change => nearest(kept, change.motion) === choice) }))
    if (cancellation.cancelled()) return { text: program.text, edits: [], mended: [], refused, complete: false }
    return { text, edits, refused, complete: true, after: { program: again, figures: checked.figures }, mended }
  }
}

/** Figures of the changed program and what is worse in it; undefined once nobody waits. */
function recheck({ program, scene, mesh, obstacles, figures, cancellation }: MendInput, before: Judged, again: ReadProgram, edits: readonly Edit[], { search }: MendWork): Omit<SearchedText, 'program'> & { readonly worse: Worse[] } | undefined {
  const lines = new LineMap(program, again, edits)
  const after = searchInputOf(again, scene, defaultEpsilon)
  if (after === undefined || !again.complete) return undefined
  const origins = originsOf(program.toolpath, again.toolpath, lines)
  if (cancellation.cancelled()) return undefined
  const now = figuresAfter(search, after, { part: mesh, obstacles }, figures, cancellation)
  if (now === undefined) return undefined
  if (cancellation.cancelled()) return undefined
  const judged = { program: again, findings: [...again.findings, ...searchFindings(again, scene, now)] }
  return { search: after, figures: now, origins, worse: [...worseFindings(before, judged, lines), ...worseContact(search, figures, after, now, origins)] }
}

function mergeWanted(all: readonly ReadonlyMap<number, WantedMotion>[]): Map<number, WantedMotion> {
  const merged = new Map<number, WantedMotion>()
  for (const wanted of all) for (const [motion, each] of wanted) {
    const feed = each.feed ?? merged.get(motion)?.feed, ends = each.feed === undefined ? each : merged.get(motion) ?? each
    merged.set(motion, { ...ends, ...feed === undefined ? {} : { feed } })
  }
  return merged
}

/** Ranges in rising order, those that meet as one. */
function joinRanges(ranges: readonly [number, number][]): [number, number][] {
  const joined: [number, number][] = []
  for (const [first, end] of [...ranges].sort((a, b) => a[0] - b[0])) {
    const open = joined.at(-1)
    if (open !== undefined && first <= open[1] + 1) open[1] = Math.max(open[1], end)
    else joined.push([first, end])
  }
  return joined
}

/** The place that a motion belongs to, or the one next to it. */
function nearest<T extends { readonly span: FaultySpan }>(places: readonly T[], motion: number): T {
  const distance = ({ span }: T) => Math.max(0, span.first - motion, motion - span.last)
  return places.reduce((best, each) => distance(each) < distance(best) ? each : best)
}

/** The first motion of a line, else of the place nearest to it. */
function motionOfLine({ toolpath }: ReadProgram, line: number | undefined, places: readonly { readonly span: FaultySpan }[]): number {
  if (line === undefined) return places[0]?.span.first ?? 0
  const at = toolpath.line.indexOf(line)
  if (at >= 0) return at
  const lines = places.map(({ span }) => ({ span, away: Math.abs((toolpath.line[span.first] ?? 0) - line) }))
  return lines.reduce((best, each) => each.away < best.away ? each : best).span.first
}

/** The sheet's plan for each motion; of two that hold the later one. */
function plansOf({ toolpath, passLines }: ReadProgram, { setup }: Scene): (readonly MendStep[] | undefined)[] {
  const passes = (setup?.passes ?? []).map((pass, i) => ({ pass, lines: passLines[i] ?? { from: Infinity, to: -1 } })).filter(({ pass }) => pass.mend !== undefined)
  if (passes.length === 0) return []
  return Array.from({ length: toolpath.count }, (_, motion) =>
    passes.findLast(({ pass, lines }) => holdsIn(pass, lines, toolpath.line[motion] ?? 0, setup?.tools[toolpath.tool[motion] ?? NO_TOOL]?.number))?.pass.mend)
}

/** Whether a fault is a plan's matter: of one of its motions, or where the next one leaves or reaches them. */
function isPlanned(plans: readonly (readonly MendStep[] | undefined)[], { motion, time }: MotionFault): boolean {
  return plans[motion] !== undefined || time < 0.25 && plans[motion - 1] !== undefined || time > 0.75 && plans[motion + 1] !== undefined
}

/** Runs of motions with one plan. */
function plannedSpans(plans: readonly (readonly MendStep[] | undefined)[], { toolpath }: ReadProgram, lines: MendOptions['lines']): FaultySpan[] {
  const spans: FaultySpan[] = []
  for (let first = 0; first < plans.length; first++) {
    const plan = plans[first], line = toolpath.line[first] ?? 0
    if (plan === undefined || lines !== undefined && (line < lines.first || line > lines.last)) continue
    let last = first
    while (plans[last + 1] === plan && (lines === undefined || (toolpath.line[last + 1] ?? 0) <= lines.last)) last++
    spans.push({ first, last, faults: [], isPlanned: true })
    first = last
  }
  return spans
}
