import type { Related } from '../../../shared/finding.ts'
import type { Problem, Report } from '../../../shared/problem.ts'
import type { Span } from '../../../shared/span.ts'
import { interpretationProblems } from './interpretation-problems.ts'

type Wording = Pick<Problem, 'rule' | 'message' | 'level'>

/** What the collector was given, in order: enough to gather it again. */
export type ProblemEvent =
  | { readonly kind: 'tell', readonly problem: Problem }
  | { readonly kind: 'count', readonly key: string, readonly line: number, readonly span: Span, readonly wording: (count: number) => Wording }

/** Events beyond this are not kept: they are not fewer for a small edit. */
export const MOST_EVENTS = 50_000

/** Findings of one rule told one by one; what comes after is only counted. */
const MOST_OF_A_RULE = 500

/**
 * Keeps a damaged program from drowning its reader: the same cause is told once with its count, and
 * a rule that strikes without end is cut off with a word about how often.
 */
export class ProblemCollector {
  /** Path of the text in execution where it is not the program itself. */
  file: string | undefined
  /** The calls that led to the block in execution. */
  callSites: () => readonly Related[] = () => []
  /** Blocks may run several times: what is wrong about one is told once. */
  mayRepeat = false
  readonly #report: Report
  /** What has been told about, by rule and file: where spans start, and their ends. */
  readonly #places = new Map<string, Map<number, number[]>>()
  readonly #told = new Map<string, number>()
  readonly #firstUntold = new Map<string, Span>()
  readonly #causes = new Map<string, { count: number, lastLine: number, readonly span: Span, readonly file: string | undefined, readonly sites: readonly Related[], readonly wording: (count: number) => Wording }>()

  readonly #events: ProblemEvent[] | undefined

  /** `events`: takes down what comes in. */
  constructor(report: Report, events?: ProblemEvent[]) {
    this.#report = report
    this.#events = events
  }

  /** Tells one finding now. */
  readonly tell: Report = problem => {
    if (!this.mayRepeat) this.#takeDown({ kind: 'tell', problem })
    if (this.#isRepeated(problem)) return
    const told = (this.#told.get(problem.rule) ?? 0) + 1
    this.#told.set(problem.rule, told)
    if (told <= MOST_OF_A_RULE) this.#report(this.mayRepeat ? this.#placed(problem) : problem)
    else if (told === MOST_OF_A_RULE + 1) this.#firstUntold.set(problem.rule, problem.span)
  }

  /** The problem with the text it lies in and the calls that led there. */
  #placed(problem: Problem): Problem {
    const file = problem.file ?? this.file, related = [...problem.related ?? [], ...this.callSites()]
    return { ...problem, ...file === undefined ? {} : { file }, ...related.length === 0 ? {} : { related } }
  }

  /**
   * Whether this rule has spoken about this place in an earlier run of its block, so that nothing said about it now is
   * heard. To be asked before words are sought for what may come up 200,000 times.
   */
  hasTold(rule: string, { start, end }: Span, file = this.file): boolean {
    return this.mayRepeat && this.#placesOf(rule, file).get(start)?.includes(end) === true
  }

  /** The same; and takes note that it has spoken now. */
  #isRepeated({ rule, span: { start, end }, file = this.file }: Problem): boolean {
    const full = (this.#told.get(rule) ?? 0) > MOST_OF_A_RULE
    if (full && !this.mayRepeat) return false
    const places = this.#placesOf(rule, file), ends = places.get(start)
    if (this.mayRepeat && ends?.includes(end) === true) return true
    if (full) return false
    if (ends === undefined) places.set(start, [end])
    else ends.push(end)
    return false
  }

  #placesOf(rule: string, file: string | undefined): Map<number, number[]> {
    const key = file === undefined ? rule : `${rule} ${file}`
    let places = this.#places.get(key)
    if (places === undefined) this.#places.set(key, places = new Map())
    return places
  }

  /** A run in which blocks run again is never gone on from: what comes in after the first jump need not be kept. */
  #takeDown(event: ProblemEvent): void {
    if (this.#events !== undefined && this.#events.length <= MOST_EVENTS) this.#events.push(event)
  }

  /** Counts one cause by blocks; it is told at the end, at its first place. */
  count(key: string, line: number, span: Span, wording: (count: number) => Wording): void {
    if (!this.mayRepeat) this.#takeDown({ kind: 'count', key, line, span, wording })
    const cause = this.#causes.get(key)
    if (cause === undefined) this.#causes.set(key, { count: 1, lastLine: line, span, file: this.file, sites: this.mayRepeat ? this.callSites() : [], wording })
    else if (cause.lastLine !== line) {
      cause.count++
      cause.lastLine = line
    }
  }

  /** Takes in what another collector has taken down. */
  take(events: readonly ProblemEvent[]): void {
    for (const event of events) {
      if (event.kind === 'tell') this.tell(event.problem)
      else this.count(event.key, event.line, event.span, event.wording)
    }
  }

  /** Tells what was counted. Called once, at the end. */
  finish(): void {
    for (const { count, span, file, sites, wording } of this.#causes.values()) {
      this.file = file
      this.callSites = () => sites
      this.tell({ ...wording(count), span })
    }
    this.file = undefined
    this.#causes.clear()
    for (const [rule, span] of this.#firstUntold) {
      this.#report({ ...interpretationProblems.moreLikeIt(rule, (this.#told.get(rule) ?? 0) - MOST_OF_A_RULE), span })
    }
    this.#firstUntold.clear()
  }
}
