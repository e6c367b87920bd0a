import type { Finding } from '../../shared/finding.ts'
import type { CalledPrograms } from '../edge/called-programs.ts'
import type { MotionRun } from '../edge/deal-runs.ts'
import { lostFindings, lostResult } from '../edge/lost-findings.ts'
import type { MeasuredSurface, ResultSearch } from '../edge/result-pool.ts'
import { drawPath, findingsUnderWaivers, GrowingFaults, leftByMotions, limitsOf, unchangedMotions, viewProgram, type ContactView, type LeftByMotion, type PathRun, type ProgramView } from '../engine/editor-service.ts'
import { findingsOfContact, resultFindings, searchInputOf, type ContactFigures, type ReadProgram, type StockFigures } from '../engine/service.ts'
import { withLevels } from './convert.ts'
import { FigureStore } from './figure-store.ts'
import type { PlacedText } from './read-document.ts'
import type { LoadedScene } from './loaded-scene.ts'
import type { Settings } from './settings.ts'
import { spareWords } from './status-words.ts'

let readings = 0

/** One version of a program, read once, and what the contact search has found in it so far. */
export class Reading {
  /** A copy that later edits do not touch. */
  readonly document: PlacedText
  readonly program: ReadProgram
  /** The files of programs that it calls by number; undefined where it lies on no disk. */
  readonly called: CalledPrograms | undefined
  readonly scene: LoadedScene
  readonly settings: Settings
  /** What there is to say about the sheet that was taken. */
  readonly choiceFindings: readonly Finding[]
  readonly figures: FigureStore
  /** Tells this reading from every other one of this session. */
  readonly serial = ++readings
  /** What the mesh's file had to say, and what shows when it is held against the program. */
  meshFindings: readonly Finding[] = []
  meshAgainstProgram: readonly Finding[] = []
  contactFindings: readonly Finding[] = []
  /** What the stock has shown, and its figures once the program has been followed through it. */
  stockFindings: readonly Finding[] = []
  stock: StockFigures | undefined
  /** The stock is still to be followed, or was not to its end. */
  stockPending = false
  /** It will not be followed any more, by a fault of ours. */
  stockLost = false
  /** What the program leaves of the part; undefined while that is not measured. */
  measured: MeasuredSurface | undefined
  /** The measuring ended by a fault of ours: what it said, as a sentence. */
  unmeasured: string | undefined
  /** Every motion has been searched: a comment that accepts a contact finding and covers none is then itself a finding. */
  complete = false
  /** Why no search runs, as the end of a sentence. */
  notSearched: string | undefined
  /** Motions that could not be searched, because every thread that tried has died. */
  lost: readonly MotionRun[] = []
  /** The search ended by a fault of ours: what it said, as a sentence. */
  failure: string | undefined
  #view: ProgramView | undefined
  #path: PathRun | undefined
  #leftBy: ReadonlyMap<number, LeftByMotion> | undefined
  #faults: GrowingFaults | undefined
  #limits: ReturnType<typeof limitsOf>

  constructor(document: PlacedText, program: ReadProgram, called: CalledPrograms | undefined, scene: LoadedScene, settings: Settings, choiceFindings: readonly Finding[] = []) {
    this.document = document
    this.program = program
    this.called = called
    this.scene = scene
    this.settings = settings
    this.choiceFindings = choiceFindings
    this.figures = new FigureStore(program.toolpath.count)
  }

  /** The text of a file that findings may point into. */
  readonly textOf = (path: string): string | undefined => this.scene.textOf(path) ?? this.called?.textOf(path)

  get version(): number {
    return this.document.version
  }

  /** Made when hover or viewer first ask for it: an edit that nobody looks into need not pay for it. */
  get view(): ProgramView {
    this.#view ??= viewProgram(this.program, this.scene.scene)
    return this.#view
  }

  /** The path for the viewer's eye. */
  get path(): PathRun {
    this.#path ??= drawPath(this.view)
    return this.#path
  }

  /** The limits of every motion; undefined where there is no sheet. Made when the marks beside the text ask for them. */
  get limits(): ReturnType<typeof limitsOf> {
    this.#limits ??= limitsOf(this.program, this.view)
    return this.#limits
  }

  get contact(): ContactView {
    return { figuresOf: motion => this.figures.of(motion), leftBy: motion => this.#left()?.get(motion), notSearched: this.notSearched, stock: this.stock }
  }

  /** Worked out when a hover first asks for it. */
  #left(): ReadonlyMap<number, LeftByMotion> | undefined {
    if (this.measured !== undefined) this.#leftBy ??= leftByMotions(this.measured.samples, this.measured.figures)
    return this.#leftBy
  }

  /** The motions it has in common with an earlier reading on the same mesh, and what was measured of that one. */
  measuredBefore(earlier: Reading | undefined): ResultSearch['earlier'] {
    return earlier?.scene === this.scene ? earlier.measuredFor(this.program) : undefined
  }

  /** What was measured of it, and the motions that another text of the program has in common with it. */
  measuredFor(other: ReadProgram): ResultSearch['earlier'] {
    const { measured, scene: { scene }, settings: { epsilon } } = this
    const before = searchInputOf(this.program, scene, epsilon), now = searchInputOf(other, scene, epsilon)
    if (measured === undefined || before === undefined || now === undefined) return undefined
    return { measured, common: { same: unchangedMotions(before, now), before: before.toolpath.count } }
  }

  /** Takes over the figures of motions that an earlier reading has too: after an edit only what it changed is searched. */
  inherit(earlier: Reading): void {
    const { scene, settings: { epsilon }, faults } = this
    if (earlier.scene !== scene || earlier.settings.epsilon !== epsilon) return
    const before = searchInputOf(earlier.program, scene.scene, epsilon), after = searchInputOf(this.program, scene.scene, epsilon)
    if (before === undefined || after === undefined || earlier.faults === undefined) return
    faults?.inherit(earlier.faults, this.figures.inherit(earlier.figures, unchangedMotions(before, after)))
  }

  /** Takes in what a search has found of some motions. */
  add(run: ContactFigures): void {
    this.figures.add(run)
    this.faults?.judge(run.firstMotion, run.count)
  }

  /** Words what has been found so far. */
  wordContact(): void {
    const { program, scene: { scene }, figures, faults } = this
    this.contactFindings = findingsOfContact(program, scene, { ...figures.others, faults: faults?.list ?? [] })
  }

  /** The faults against the part so far; undefined where nothing can be searched. */
  get faults(): GrowingFaults | undefined {
    const { figures, program, scene, settings: { epsilon } } = this, input = searchInputOf(program, scene.scene, epsilon)
    if (input !== undefined) this.#faults ??= new GrowingFaults(input, motion => figures.isKnown(motion), (first, count) => figures.run(first, count))
    return this.#faults
  }

  /** All that is known now, with the user's levels: of the files, the text, the mesh and the search. */
  findings(): readonly Finding[] {
    const left = this.measured === undefined ? [] : resultFindings(this.program, this.scene.scene, this.measured.result)
    const found = [...this.contactFindings, ...this.meshAgainstProgram, ...this.stockFindings, ...left, ...this.#gaps()]
    const ofProgram = findingsUnderWaivers(this.program, found, { complete: this.complete, measured: this.measured !== undefined, isStockPending: this.stockPending })
    return withLevels([...this.scene.scene.findings, ...this.choiceFindings, ...this.meshFindings, ...ofProgram], this.settings.rules)
  }

  /** A search that the user has switched off, or that we did not bring to its end, is never passed over in silence. */
  #gaps(): Finding[] {
    const notChecked = (message: string): Finding => ({ rule: 'not-checked', level: 'warning', message, span: { start: 0, end: 0 } })
    if (this.failure !== undefined) return [notChecked(`Contact with the part was not searched to the end: ${this.failure}`)]
    if (this.lost.length > 0) return lostFindings(this.program, this.lost)
    if (this.unmeasured !== undefined) return [lostResult(this.unmeasured)]
    return this.notSearched === spareWords.off ? [notChecked(`Contact with the part is not searched: ${spareWords.off}.`)] : []
  }
}
