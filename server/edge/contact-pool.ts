import { join } from 'node:path'
import type { Cancellation } from '../../shared/cancellation.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import {
  FIGURES_PER_MOTION, newContactFigures, placeFigures, searchInputOf,
  type BinaryFile, type ContactFigures, type FarFigure, type MendOptions, type MendReport, type Obstacle, type ObstacleFile, type PartMesh, type ReadProgram, type Scene, type SceneMeshes,
  type SearchInput,
} from '../engine/service.ts'
import type { FromWorker, Keeping, MendText, OpenedMeshes, ToWorker } from './contact-protocol.ts'
import { ContactThread } from './contact-thread.ts'
import { Control, newControl } from './control-words.ts'
import { dealRuns, type MotionRun } from './deal-runs.ts'
import type { StorePlace } from './result-store.ts'
import { shareToolpath } from './share-toolpath.ts'
import { reasonOf } from './reason-of.ts'
import type { StartThread } from './start-thread.ts'
import { AnsweredFault, ThreadTeam } from './thread-team.ts'
import { whileWanted, type Wanted } from './while-wanted.ts'
import { saidBy } from './said-by.ts'
import { workHere } from './work-here.ts'

/** Looking up what is kept of a program takes about as long as searching one of so many of its motions. */
const lookUpShare = 256

/** How often the runs of threads that died are dealt again before they are given up. */
const mostRounds = 3

export interface PoolOptions {
  /** The bundled worker; by default beside the bundle this is part of. */
  readonly script?: string
  /** Where results are kept for the next time; absent: nowhere. */
  readonly store?: StorePlace
  /** Bytes that meshes may take; absent: as many as there are. */
  readonly memory?: number
  /** Hears what is worth a line in a log. */
  readonly log?: (sentence: string) => void
  /** Starts a thread; one that throws has none to give. */
  readonly start?: StartThread<ToWorker, FromWorker>
}

export interface PoolSearch extends Wanted {
  /** Proven width of each figure, mm. */
  readonly epsilon: number
  /** The motions to search, in order; all when absent. */
  readonly runs?: readonly MotionRun[]
  /** Runs are searched outward from this motion. */
  readonly around?: number
}

/** Figures from the first motion asked for to the last. */
export interface PoolFigures extends ContactFigures {
  /** Motions that were not searched because every thread that tried has died of them. */
  readonly lost: readonly MotionRun[]
}

/**
 * The threads that search. Meshes and motions lie on shared memory; runs of motions are dealt to
 * whoever is free, and their results do not depend on who that was. What a thread that dies had in hand is
 * dealt again; where the system has no threads to give, this one does the work in slices.
 */
export class ContactPool {
  readonly #size: number
  readonly #options: PoolOptions
  readonly #script: string
  readonly #team: ThreadTeam<ToWorker, FromWorker>
  /** Motions already on shared memory: a program is asked about more than once. */
  readonly #shared = new WeakMap<Toolpath, Toolpath>()
  #scene: Scene | undefined
  #meshes: SceneMeshes | undefined
  #identity = ''

  constructor(threads: number, options: PoolOptions = {}) {
    this.#size = Math.max(1, threads)
    this.#options = options
    this.#script = options.script ?? join(__dirname, 'contact-worker.cjs')
    this.#team = new ThreadTeam({
      script: this.#script, start: options.start, log: sentence => this.#log(sentence), saidIn: saidBy,
      here: hear => {
        const thread = new ContactThread(hear)
        return workHere(question => thread.answer(question), ({ id }, message) => hear({ say: 'failed', id, message }))
      },
      without: reason => `No search thread could be started (${reason}); the search runs beside everything else and takes longer.`,
      ended: 'the search was ended',
    })
  }

  /** Reads the meshes and builds their trees in a thread, large ones with the help of the others. */
  async openMeshes(part: BinaryFile, others: readonly ObstacleFile[], scene: Scene): Promise<OpenedMeshes> {
    const { memory } = this.#options
    const answer = await this.#askTwice(id => ({ ask: 'open-meshes', id, part, others, scene, keeping: this.#keeping(), memory, helpers: this.#size - 1, script: this.#script }))
    return answer.say === 'meshes' ? answer.opened : { obstacles: [], findings: [], identity: '' }
  }

  /** What the following searches are about. Without an identity of the meshes nothing is kept. */
  load(scene: Scene, mesh: PartMesh, obstacles: readonly Obstacle[] = [], identity = ''): void {
    this.#scene = scene
    this.#identity = identity
    // Only what lies on shared memory: the rest would be copied to every thread with every question.
    const { triangleCount, corners, nodes, links, min, max } = mesh
    this.#meshes = { part: { triangleCount, corners, nodes, links, min, max }, obstacles }
  }

  /**
   * Searches the program's motions, those apart whose figures are kept from an earlier time; `onRun` gets each run as it is
   * done, in any order. The answer holds what was searched; after a cancellation the rest of it is empty.
   */
  async search(program: ReadProgram, options: PoolSearch, onRun: (figures: ContactFigures) => void = () => {}): Promise<PoolFigures> {
    const asked = options.runs ?? [{ first: 0, count: program.toolpath.count }], last = asked.at(-1)
    const first = asked[0]?.first ?? 0, count = last === undefined ? 0 : last.first + last.count - first
    const whole = newContactFigures(first, count)
    const prepared = this.#prepare(program, options.epsilon)
    if (prepared === undefined || count <= 0) return { ...whole, lost: [] }
    const lost = await whileWanted(options, async control => {
      const hear = (figures: ContactFigures) => {
        if (Atomics.load(control, Control.cancelled) !== 0) return
        placeFigures(whole, figures)
        onRun(figures)
      }
      const wanted = asked.reduce((sum, run) => sum + run.count, 0)
      const missing = wanted * lookUpShare < program.toolpath.count ? asked : await this.#recall(asked, { ...prepared, control }, hear)
      return await this.#searchAll(dealRuns(missing, options.around), { ...prepared, control }, hear)
    })
    // Threads end their runs in any order; the answer does not depend on it.
    whole.inside.sort((a, b) => a.motion - b.motion)
    // Of what could not be searched nothing is said but that.
    for (const run of lost) whole.certified.fill(Infinity, (run.first - first) * FIGURES_PER_MOTION, (run.first + run.count - first) * FIGURES_PER_MOTION)
    return { ...whole, lost }
  }

  /** Keeps figures that were searched to their end for the next time; of a piece of the program that is not all there nothing is kept. */
  async keep(program: ReadProgram, epsilon: number, figures: ContactFigures): Promise<void> {
    const prepared = this.#prepare(program, epsilon)
    if (prepared?.keeping === undefined || figures.count === 0) return
    const { firstMotion, count, value, certified, time, point, inside, near } = figures
    const plain = { firstMotion, count, value, certified, time, point, inside, near }
    await this.#team.ask(0, id => ({ ask: 'keep', id, ...prepared, control: newControl(), figures: plain }))
  }

  /** The smallest distance of a component over the whole program, without the search's reach. Undefined when there is none, or nobody waits any more. */
  async searchFarthest(program: ReadProgram, tool: number, component: number, options: PoolSearch): Promise<FarFigure | undefined> {
    const prepared = this.#prepare(program, options.epsilon)
    if (prepared === undefined) return undefined
    const answer = await whileWanted(options, control =>
      this.#askTwice(id => ({ ask: 'farthest', id, ...prepared, tool, component, control })))
    return answer.say === 'farthest' ? answer.figure : undefined
  }

  /** Mends a program of which these figures are the whole search, in a thread; undefined once nobody waits any more. */
  async mend(program: MendText, figures: ContactFigures, options: MendOptions, cancellation: Cancellation, onProgress: (done: number, total: number) => void = () => {}): Promise<MendReport | undefined> {
    const scene = this.#scene, meshes = this.#meshes
    if (scene === undefined || meshes === undefined) return undefined
    const answer = await whileWanted({ cancellation }, control =>
      this.#team.ask(0, id => ({ ask: 'mend', id, meshes, scene, control, program, figures, options }), news => {
        if (news.say === 'progress') onProgress(news.done, news.total)
      }))
    return answer.say === 'mended' ? answer.report : undefined
  }

  dispose(): Promise<void> {
    return this.#team.dismiss()
  }

  /** Asks one thread; should it die of the question, another one too. */
  async #askTwice(question: (id: number) => ToWorker): Promise<FromWorker> {
    try {
      return await this.#team.ask(0, question)
    } catch (error) {
      if (error instanceof AnsweredFault) throw error
      this.#log(`A search thread has died (${reasonOf(error)}); what it had in hand is done again.`)
      return await this.#team.ask(0, question)
    }
  }

  /** Tells what is kept of the motions asked for, and answers what is not. */
  async #recall(asked: readonly MotionRun[], search: PreparedSearch, hear: (figures: ContactFigures) => void): Promise<readonly MotionRun[]> {
    if (search.keeping === undefined) return asked
    try {
      const answer = await this.#team.ask(0, id => ({ ask: 'recall', id, ...search, runs: asked }), runsTo(hear))
      return answer.say === 'recalled' ? answer.missing : asked
    } catch (error) {
      this.#log(`Kept results could not be read, so everything is searched: ${reasonOf(error)}`)
      return asked
    }
  }

  /** Searches all runs, those of a thread that dies once more, and answers those that could not be. */
  async #searchAll(dealt: readonly MotionRun[], search: PreparedSearch, hear: (figures: ContactFigures) => void): Promise<MotionRun[]> {
    let left = dealt
    for (let round = 1; left.length > 0; round++) {
      const done = new Set<number>(), runs = Int32Array.from(left.flatMap(({ first, count }) => [first, count]))
      const told = (figures: ContactFigures) => {
        done.add(figures.firstMotion)
        hear(figures)
      }
      const ends = await Promise.allSettled(Array.from({ length: Math.min(this.#size, left.length) }, (_, worker) =>
        this.#team.ask(worker, id => ({ ask: 'search', id, ...search, runs }), runsTo(told))))
      if (Atomics.load(search.control, Control.cancelled) !== 0) return []
      const fault = ends.find(end => end.status === 'rejected')
      left = left.filter(({ first }) => !done.has(first))
      if (fault === undefined) break
      // A fault that is answered in words would come again, and threads that get nothing done are no threads.
      if (fault.reason instanceof AnsweredFault || (done.size === 0 && left.length === dealt.length)) throw fault.reason
      if (left.length === 0 || round === mostRounds) {
        this.#log(`A search thread has died (${reasonOf(fault.reason)}); ${left.length === 0 ? 'the others have done its work.' : 'what it had in hand was given up.'}`)
        break
      }
      this.#log(`A search thread has died (${reasonOf(fault.reason)}); what it had in hand is searched again.`)
      Atomics.store(search.control, Control.next, 0)
    }
    return [...left]
  }

  #prepare(program: ReadProgram, epsilon: number): Omit<PreparedSearch, 'control'> | undefined {
    const scene = this.#scene, meshes = this.#meshes
    const input = scene === undefined ? undefined : searchInputOf(program, scene, epsilon)
    if (input === undefined || meshes === undefined) return undefined
    const toolpath = this.#shared.get(input.toolpath) ?? shareToolpath(input.toolpath)
    this.#shared.set(input.toolpath, toolpath)
    return { input: { ...input, toolpath }, meshes, ...this.#identity === '' ? {} : { keeping: this.#keeping() } }
  }

  #keeping(): Keeping | undefined {
    const { store } = this.#options
    return store === undefined ? undefined : { place: store, script: this.#script, meshes: this.#identity }
  }

  #log(sentence: string): void {
    this.#options.log?.(sentence)
  }
}

/** Hears the runs among the news. */
function runsTo(hear: (figures: ContactFigures) => void): (news: FromWorker) => void {
  return news => {
    if (news.say === 'run') hear(news.figures)
  }
}

/** What threads are asked with, beside what they are asked. */
interface PreparedSearch {
  readonly input: SearchInput
  readonly meshes: SceneMeshes
  readonly control: Int32Array
  readonly keeping?: Keeping
}
