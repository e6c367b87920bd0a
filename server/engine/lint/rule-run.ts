import type { Related } from '../../../shared/finding.ts'
import type { Problem } from '../../../shared/problem.ts'
import type { Stepwise } from '../../../shared/stepwise.ts'
import { isSameRun, type Toolpath } from '../../../shared/toolpath.ts'
import type { InterpretedBlock } from '../machine/interpreter.ts'
import type { KeptMotions, Move, RunVisitor } from '../machine/run-visitor.ts'
import { lineStartsOf } from '../nc/line-index.ts'
import type { TextChange } from '../nc/text-change.ts'
import { CarryOver, isAlike } from './carry-over.ts'
import type { Note } from './notes.ts'
import type { BeforeEdit, Rule, RuleContext, RuleVisitor } from './rule.ts'

/** What all visitors have kept at a checkpoint, in their order, and how much had been told by then. */
interface Mark {
  readonly memories: readonly (object | undefined)[]
  readonly counts: readonly (Readonly<Record<string, number>> | undefined)[]
  readonly notes: readonly number[]
  readonly told: number
}

/** Motions that a rule looks at before others get their turn. */
const MOTIONS_PER_STEP = 10_000

/**
 * All rules that check something themselves, along one run of a program: it is walked once for all of them.
 * With `earlier`, the rules of the run before an edit, their results are taken over where nothing has changed.
 */
export class RuleRun implements RunVisitor {
  readonly rules: readonly Rule[]
  readonly #visitors: readonly RuleVisitor[]
  readonly #onBlock: readonly ((step: InterpretedBlock) => void)[]
  #earlier: RuleRun | undefined
  /** Visitors of called files, by path. */
  readonly #ofFile = new Map<string, readonly RuleVisitor[]>()
  readonly #visitFile: (path: string) => readonly RuleVisitor[]
  readonly #textOf: (path: string) => string
  /** What was told while the blocks ran, and after it. */
  readonly #told: Problem[] = []
  readonly #toldAtEnd: Problem[] = []
  /** Where a block runs several times, what a rule says about one place is said once. */
  readonly #places = new Set<string>()
  readonly #onBlockOfAnyText: readonly ((step: InterpretedBlock) => void)[]
  #step: InterpretedBlock | undefined
  /** The called file whose visitors speak at the end, and the calls that led to it. */
  #endOf: { readonly file: string, readonly sites: readonly Related[] } | undefined
  readonly #sitesOf = new Map<string, readonly Related[]>()
  #hasRepeated = false
  /** How all stood after the last block. */
  #final: Mark | undefined
  #kept: KeptMotions | undefined
  readonly #text: string
  #lineStarts: Uint32Array | undefined
  /** What the edit has changed, where the rest of the run before was taken over. */
  #change: TextChange | undefined

  /** `watchers`: visitors beside the rules. `textOf`: the text of a called file. */
  constructor(context: RuleContext, rules: readonly Rule[], watchers: readonly RuleVisitor[], textOf: (path: string) => string, earlier?: RuleRun) {
    this.rules = rules
    this.#text = context.text
    const started = rules.flatMap(rule => rule.start === undefined ? [] : [{ rule, visitor: rule.start(this.#report, context) }])
    this.#visitors = [...started.map(({ visitor }) => visitor), ...watchers]
    this.#onBlock = blocksOf(this.#visitors)
    this.#onBlockOfAnyText = blocksOf([...started.filter(({ rule }) => rule.isPerText !== true).map(({ visitor }) => visitor), ...watchers])
    const perText = rules.filter(rule => rule.isPerText === true)
    this.#visitFile = path => perText.flatMap(rule => rule.start?.(this.#report, { ...context, text: textOf(path) }) ?? [])
    this.#textOf = textOf
    this.#earlier = earlier
  }

  /** What the rules have told; call it after `end`. */
  get problems(): readonly Problem[] {
    return [...this.#told, ...this.#toldAtEnd]
  }

  readonly block = (step: InterpretedBlock): void => {
    this.#step = step
    if (step.isRepeated) this.#hasRepeated = true
    if (step.file === undefined) for (const visit of this.#onBlock) visit(step)
    else this.#blockOfFile(step, step.file)
  }

  /** After the last block: what shows in the motions, and what could not be said before. */
  * end(toolpath: Toolpath, lineStarts: Uint32Array): Stepwise<void> {
    this.#step = undefined
    this.#final ??= this.keep()
    const { head, tail, by } = this.#kept ?? { head: 0, tail: toolpath.count, by: 0 }
    const before = this.#kept === undefined || this.#earlier === undefined ? undefined : this.#earlier.#visitors.map(({ faults }) => faults?.list ?? [])
    const edits = this.#earlier === undefined ? [] : this.#edits(this.#earlier)
    this.#lineStarts = lineStarts
    // A run holds on to the one before no longer than it needs it.
    this.#earlier = undefined
    for (const [i, visitor] of this.#visitors.entries()) {
      if (visitor.motions !== undefined) {
        for (const [first, end] of stretches(toolpath, head, tail + by)) {
          visitor.motions(toolpath, first, end)
          yield 1
        }
      }
      if (before !== undefined) visitor.faults?.takeOver(before[i] ?? [], head, tail, by)
      visitor.end?.(toolpath, lineStarts, edits[i])
      yield 1
    }
    for (const [file, visitors] of this.#ofFile) {
      this.#endOf = { file, sites: this.#sitesOf.get(file) ?? [] }
      const starts = lineStartsOf(this.#textOf(file))
      for (const visitor of visitors) visitor.end?.(toolpath, starts)
    }
    this.#endOf = undefined
  }

  readonly keep = (): Mark => {
    for (const { notes } of this.#visitors) notes?.beginStretch()
    return {
      memories: this.#visitors.map(({ memory }) => memory === undefined ? undefined : { ...memory }),
      counts: this.#visitors.map(({ counts }) => counts === undefined ? undefined : { ...counts }),
      notes: this.#visitors.map(({ notes }) => notes?.list.length ?? 0),
      told: this.#told.length,
    }
  }

  readonly takeUp = (mark: unknown): void => {
    const from = mark as Mark, earlier = this.#earlier
    if (earlier === undefined) return
    this.#stand(from)
    this.#visitors.forEach(({ notes }, i) => notes?.replace(earlier.#notesOf(i).slice(0, from.notes[i])))
    for (const problem of earlier.#told.slice(0, from.told)) this.#told.push(problem)
  }

  readonly standsAt = (mark: unknown, change: TextChange): boolean => {
    const carry = new CarryOver({ change, motions: 0 })
    return (mark as Mark).memories.every((memory, i) => isAlike(carry.of(memory), this.#visitors[i]?.memory)) && !carry.isLost
  }

  readonly takeRest = (mark: unknown, later: readonly unknown[], move: Move): readonly Mark[] | undefined => {
    const to = mark as Mark, earlier = this.#earlier
    if (earlier === undefined) return undefined
    const final = earlier.#final
    if (final === undefined) return undefined
    const here = this.keep(), carry = new CarryOver(move)
    const marks = (later as readonly Mark[]).map(each => between(each, to, here, carry)), end = between(final, to, here, carry)
    const told = carry.of(earlier.#told.slice(to.told))
    const notes = this.#visitors.map((_, i) => carry.of(earlier.#notesOf(i).slice(to.notes[i])))
    if (carry.isLost) return undefined
    this.#stand(end)
    this.#visitors.forEach((visitor, i) => visitor.notes?.append(notes[i] ?? []))
    for (const problem of told) this.#told.push(problem)
    this.#final = end
    this.#change = move.change
    return marks
  }

  readonly keepMotions = (kept: KeptMotions): void => {
    this.#kept = kept
  }

  /** What each visitor can go on from, where the rest of the run before was taken over. */
  #edits(earlier: RuleRun): BeforeEdit[] {
    const change = this.#change, lineStarts = earlier.#lineStarts
    if (change === undefined || lineStarts === undefined) return []
    return earlier.#visitors.map(({ conclusion }) => ({ text: earlier.#text, lineStarts, change, conclusion: conclusion?.() }))
  }

  #notesOf(visitor: number): readonly Note[] {
    return this.#visitors[visitor]?.notes?.list ?? []
  }

  #stand({ memories, counts }: Mark): void {
    this.#visitors.forEach((visitor, i) => {
      if (visitor.memory !== undefined) Object.assign(visitor.memory, memories[i])
      if (visitor.counts !== undefined) Object.assign(visitor.counts, counts[i])
    })
  }

  #blockOfFile(step: InterpretedBlock, file: string): void {
    let visitors = this.#ofFile.get(file)
    if (visitors === undefined) {
      this.#ofFile.set(file, visitors = this.#visitFile(file))
      this.#sitesOf.set(file, step.callSites())
    }
    for (const visit of this.#onBlockOfAnyText) visit(step)
    // The text says the same each time it runs.
    if (!step.isRepeated) for (const visitor of visitors) visitor.block?.(step)
  }

  readonly #report = (problem: Problem): void => {
    if (this.#step === undefined) {
      const { file, sites = [] } = this.#endOf ?? {}
      this.#toldAtEnd.push(placed(problem, file, sites))
      return
    }
    const { file } = this.#step
    if (this.#hasRepeated || file !== undefined) {
      const place = `${problem.rule} ${problem.span.start} ${problem.span.end} ${problem.file ?? file ?? ''}`
      if (this.#places.has(place)) return
      this.#places.add(place)
    }
    this.#told.push(placed(problem, file, this.#step.callSites()))
  }
}

/** Motions [first, end) in stretches of whole blocks. */
function* stretches(toolpath: Toolpath, first: number, end: number): Generator<readonly [number, number]> {
  for (let from = first; from < end;) {
    let to = Math.min(end, from + MOTIONS_PER_STEP)
    while (to < end && isSameRun(toolpath, to, to - 1)) to++
    yield [from, to]
    from = to
  }
}

function blocksOf(visitors: readonly RuleVisitor[]): ((step: InterpretedBlock) => void)[] {
  return visitors.flatMap(({ block }) => block === undefined ? [] : [block])
}

/** The problem with the text it lies in and the calls that led there; what names no text of its own is about the block in hand. */
function placed(problem: Problem, file: string | undefined, sites: readonly Related[]): Problem {
  if (file === undefined && sites.length === 0) return problem
  const related = [...(problem.related ?? []).map(each => 'file' in each ? each : { ...each, file }), ...sites]
  return { ...problem, ...'file' in problem ? {} : { file }, ...related.length === 0 ? {} : { related } }
}

/** A mark of the run before, made behind `to`, as it is where the new run has come to `here` instead. */
function between(mark: Mark, to: Mark, here: Mark, carry: CarryOver): Mark {
  return {
    memories: carry.of(mark.memories),
    counts: mark.counts.map((counts, i) => counts === undefined ? undefined
      : Object.fromEntries(Object.entries(counts).map(([name, sum]) => [name, sum - (to.counts[i]?.[name] ?? 0) + (here.counts[i]?.[name] ?? 0)]))),
    notes: mark.notes.map((length, i) => length - (to.notes[i] ?? 0) + (here.notes[i] ?? 0)),
    told: mark.told - to.told + here.told,
  }
}
