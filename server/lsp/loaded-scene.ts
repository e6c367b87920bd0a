import { neverCancelled, type Cancellation } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import type { MendOptions, MendReport } from '../engine/mend-report.ts'
import { ContactPool, type PoolOptions } from '../edge/contact-pool.ts'
import type { MotionRun } from '../edge/deal-runs.ts'
import { readMesh, readObstacles, type InputOptions } from '../edge/read-inputs.ts'
import { ResultPool, type MeasuredSurface, type ResultSearch } from '../edge/result-pool.ts'
import { readStockSource } from '../edge/stock-source.ts'
import { StockThread } from '../edge/stock-thread.ts'
import type { ContactFigures, Obstacle, PartMesh, ReadProgram, Scene, StockFigures } from '../engine/service.ts'
import type { Settings } from './settings.ts'

let meshes = 0

/** The part as the search and the viewer need it. */
export interface SceneContact {
  /** Undefined where the part's mesh cannot be used; the findings say why. */
  readonly mesh: PartMesh | undefined
  readonly findings: readonly Finding[]
  /** What stands around the part, as far as it can be used. */
  readonly obstacles: readonly Obstacle[]
  /** 9 numbers a triangle for the viewer, and the key under which they are handed out. */
  readonly positions: Float32Array | undefined
  readonly key: string
}

/** The stock of a sheet in its thread, and what is wrong with the files that it is made from. */
export interface SceneStock { readonly thread: StockThread, readonly findings: readonly Finding[] }

/** What is to be searched of a program. */
export interface SceneSearch {
  readonly runs: readonly MotionRun[]
  /** The motion to begin with; the search goes on outward from it. */
  readonly around: number
  readonly settings: Settings
  /** Ends the search. */
  readonly signal: AbortSignal
}

/** A setup sheet with its machine, read once and shared by all open programs it belongs to. */
export class LoadedScene {
  readonly scene: Scene
  /** Undefined where no sheet belongs to the program. */
  readonly sheetPath: string | undefined
  /** Every file it was made from, also those that could not be read: a change of one makes it stale. */
  get paths(): ReadonlySet<string> {
    return this.#paths
  }

  readonly #paths: Set<string>
  readonly #texts: ReadonlyMap<string, string>
  /** Its threads start when they are first given something to do. */
  readonly #pool: ContactPool
  readonly #inputs: InputOptions
  readonly #surface: ResultPool
  readonly #keeping: Pick<PoolOptions, 'store' | 'log'>
  #contact: Promise<SceneContact> | undefined
  #stock: Promise<SceneStock | undefined> | undefined
  /** Ends when the search that was asked for last has ended. */
  #turn: Promise<unknown> = Promise.resolve()

  constructor(scene: Scene, sheetPath: string | undefined, texts: ReadonlyMap<string, string>, paths: ReadonlySet<string>, threads: number, options: PoolOptions = {}, inputs: InputOptions = {}) {
    this.scene = scene
    this.sheetPath = sheetPath
    this.#paths = new Set(paths)
    this.#inputs = inputs
    this.#texts = texts
    this.#pool = new ContactPool(threads, options)
    this.#surface = new ResultPool(threads, { store: options.store, log: options.log })
    this.#keeping = { store: options.store, log: options.log }
  }

  readonly textOf = (path: string): string | undefined => this.#texts.get(path)

  /** Reads the meshes and builds their trees, once. */
  contact(): Promise<SceneContact> {
    this.#contact ??= this.#openContact()
    return this.#contact
  }

  /**
   * Searches one program at a time: the next waits until the one before has ended or was cancelled. Answers the motions of
   * which every thread that tried has died.
   */
  search(
    program: ReadProgram, { runs, around, settings, signal }: SceneSearch, onRun: (figures: ContactFigures) => void,
  ): Promise<readonly MotionRun[]> {
    const search = this.#turn.then(async () => {
      if (signal.aborted || runs.length === 0) return []
      const cancellation = { cancelled: () => signal.aborted }
      return (await this.#pool.search(program, { epsilon: settings.epsilon, cancellation, signal, runs, around }, onRun)).lost
    })
    // Whoever comes next does not care how this one ended.
    this.#turn = search.catch(() => undefined)
    return search
  }

  /** The sheet's stock, its files read and its thread started once; undefined where it gives none. */
  stock(): Promise<SceneStock | undefined> {
    this.#stock ??= this.#openStock()
    return this.#stock
  }

  /** Follows a program through the stock with tools set up otherwise than the sheet has them, in a thread of its own: that of the sheet goes on from what it has run. */
  async followOther(program: ReadProgram, scene: Scene, cancellation: Cancellation): Promise<StockFigures | undefined> {
    const read = await readStockSource(scene, this.#inputs)
    if (read === undefined) return undefined
    const thread = new StockThread(read.source, this.#keeping)
    try {
      return await thread.run(program, scene, cancellation)
    } finally {
      await thread.dispose()
    }
  }

  /** Triangles of the stock before a motion of a program that was followed through it; undefined where there are none. */
  async stockSurface(program: ReadProgram, motion: number, mostPoints: number, isFollowed: boolean): Promise<Float32Array | undefined> {
    const thread = (await this.#stock)?.thread, surface = await thread?.surface(program, motion, mostPoints)
    if (surface !== undefined || thread === undefined || !isFollowed) return surface
    // Another text has run since: a mend that was checked, or another program of the sheet.
    await thread.run(program, this.scene, neverCancelled)
    return thread.surface(program, motion, mostPoints)
  }

  /** Keeps the figures of a program that was searched to its end for the next time it is opened. */
  async keep(program: ReadProgram, settings: Settings, figures: ContactFigures): Promise<void> {
    await this.#turn
    await this.#pool.keep(program, settings.epsilon, figures)
  }

  /** Mends a program all of whose figures are known, when the search before it has ended; undefined once nobody waits any more. */
  mend(
    { text, path }: ReadProgram, place: string | undefined, figures: ContactFigures, options: MendOptions, cancellation: Cancellation, onProgress: (done: number, total: number) => void,
  ): Promise<MendReport | undefined> {
    const mend = this.#turn.then(() => this.#pool.mend({ path: place ?? path, text, sheetPath: this.sheetPath }, figures, options, cancellation, onProgress))
    this.#turn = mend.catch(() => undefined)
    return mend
  }

  /** Measures what a program leaves of the part, when no search runs; undefined once it is not wanted any more. */
  measure(program: ReadProgram, mesh: PartMesh, search: ResultSearch, scene: Scene = this.scene): Promise<MeasuredSurface | undefined> {
    const measured = this.#turn.then(() => search.cancellation.cancelled() ? undefined : this.#surface.measure(program, scene, mesh, search))
    this.#turn = measured.catch(() => undefined)
    return measured
  }

  /** Ends the threads, once the search that still runs in them has noticed that it is not wanted. */
  dispose(): void {
    void Promise.all([this.#turn, this.#contact]).finally(() => Promise.all([this.#pool.dispose(), this.#surface.dispose()])).catch(() => undefined)
    void this.#stock?.then(stock => stock?.thread.dispose()).catch(() => undefined)
  }

  async #openStock(): Promise<SceneStock | undefined> {
    const read = await readStockSource(this.scene, this.#inputs)
    if (read === undefined) return undefined
    for (const path of read.paths) this.#paths.add(path)
    return { thread: new StockThread(read.source, this.#keeping), findings: read.findings }
  }

  async #openContact(): Promise<SceneContact> {
    const key = `part/${++meshes}`
    const part = this.scene.setup?.part
    if (part === undefined) return { mesh: undefined, findings: [], obstacles: [], positions: undefined, key }
    const [file, others] = await Promise.all([readMesh(part.path, this.#inputs), readObstacles(this.scene, this.#inputs)])
    const { mesh, obstacles, findings, identity } = await this.#pool.openMeshes(file, others, this.scene)
    if (mesh !== undefined) this.#pool.load(this.scene, mesh, obstacles, identity)
    return { mesh, findings, obstacles, positions: mesh === undefined ? undefined : Float32Array.from(mesh.corners), key }
  }
}
