import { join } from 'node:path'
import { Worker } from 'node:worker_threads'
import type { Cancellation } from '../../shared/cancellation.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import {
  motionsPerRun, newContactFigures, placeFigures, searchInputOf,
  type BinaryFile, type ContactFigures, type FarFigure, type MendOptions, type MendReport, type Obstacle, type ObstacleFile, type PartMesh, type ReadProgram, type Scene, type SceneMeshes,
  type SearchInput,
} from '../engine/service.ts'
import { Control, type FromWorker, type MendText, type OpenedMeshes, type ToWorker } from './contact-protocol.ts'

/** How often a running search asks whether anyone still waits for it, ms. */
const cancellationPause = 15

export interface PoolSearch {
  /** Proven width of each figure, mm. */
  readonly epsilon: number
  readonly cancellation: Cancellation
  /** The motions to search; all when absent. */
  readonly first?: number
  readonly count?: number
  /** Runs are searched outward from this motion. */
  readonly around?: number
}

/** A worker's question that waits for its answer. */
interface Waiting {
  readonly answer: (message: FromWorker) => void
  readonly fail: (error: Error) => void
}

/**
 * The threads that search. Meshes and motions lie on shared memory; runs of motions are dealt to
 * whoever is free, and their results do not depend on who that was. A thread that dies fails the
 * search it was part of, and the next search starts another in its place.
 */
export class ContactPool {
  readonly #size: number
  readonly #script: string
  readonly #workers: (Worker | undefined)[]
  readonly #waiting = new Map<number, Waiting & { readonly worker: number }>()
  /** Motions already on shared memory: a program is asked about more than once. */
  readonly #shared = new WeakMap<Toolpath, Toolpath>()
  #ids = 0
  #scene: Scene | undefined
  #meshes: SceneMeshes | undefined

  /** `script`: the bundled worker, which lies beside the bundle this is part of. */
  constructor(threads: number, script = join(__dirname, 'contact-worker.cjs')) {
    this.#size = Math.max(1, threads)
    this.#script = script
    this.#workers = Array.from({ length: this.#size }, () => undefined)
  }

  /** Reads the meshes and builds their trees in a thread. */
  async openMeshes(part: BinaryFile, others: readonly ObstacleFile[], scene: Scene): Promise<OpenedMeshes> {
    const answer = await this.#ask(0, id => ({ ask: 'open-meshes', id, part, others, scene }))
    return answer.say === 'meshes' ? answer.opened : { obstacles: [], findings: [] }
  }

  /** What the following searches are about. */
  load(scene: Scene, mesh: PartMesh, obstacles: readonly Obstacle[] = []): void {
    this.#scene = scene
    // Only what lies on shared memory: the rest would be copied to every thread with every question.
    const { triangleCount, corners, nodes, links, min, max } = mesh
    this.#meshes = { part: { triangleCount, corners, nodes, links, min, max }, obstacles }
  }

  /**
   * Searches the program's motions; `onRun` gets each run as it is done, in any order. The answer
   * holds what was searched; after a cancellation the rest of it is empty.
   */
  async search(program: ReadProgram, options: PoolSearch, onRun: (figures: ContactFigures) => void = () => {}): Promise<ContactFigures> {
    const first = options.first ?? 0, count = options.count ?? program.toolpath.count - first
    const whole = newContactFigures(first, count)
    const prepared = this.#prepare(program, options.epsilon)
    if (prepared === undefined || count <= 0) return whole
    const runs = dealRuns(first, count, options.around)
    const { input, meshes } = prepared
    const threads = Math.min(this.#size, runs.length / 2)
    await this.#whileWanted(options.cancellation, control => Promise.all(Array.from({ length: threads }, (_, worker) =>
      this.#ask(worker, id => ({ ask: 'search', id, meshes, input, runs, control }), figures => {
        if (Atomics.load(control, Control.cancelled) !== 0) return
        placeFigures(whole, figures)
        onRun(figures)
      }))))
    // Threads end their runs in any order; the answer does not depend on it.
    whole.inside.sort((a, b) => a.motion - b.motion)
    return whole
  }

  /** The smallest distance of a component over the whole program, without the search's reach. Undefined when there is none, or nobody waits any more. */
  async searchFarthest(program: ReadProgram, tool: number, component: number, options: PoolSearch): Promise<FarFigure | undefined> {
    const prepared = this.#prepare(program, options.epsilon)
    if (prepared === undefined) return undefined
    const { input, meshes } = prepared
    const answer = await this.#whileWanted(options.cancellation, control =>
      this.#ask(0, id => ({ ask: 'farthest', id, meshes, input, tool, component, control })))
    return answer.say === 'farthest' ? answer.figure : undefined
  }

  /** Mends a program of which these figures are the whole search, in a thread; undefined once nobody waits any more. */
  async mend(program: MendText, figures: ContactFigures, options: MendOptions, cancellation: Cancellation, onProgress: (done: number, total: number) => void = () => {}): Promise<MendReport | undefined> {
    const scene = this.#scene, meshes = this.#meshes
    if (scene === undefined || meshes === undefined) return undefined
    const answer = await this.#whileWanted(cancellation, control =>
      this.#ask(0, id => ({ ask: 'mend', id, meshes, scene, control, program, figures, options }), () => {}, onProgress))
    return answer.say === 'mended' ? answer.report : undefined
  }

  async dispose(): Promise<void> {
    const workers = this.#workers.splice(0)
    for (const [id, waiting] of this.#waiting) {
      this.#waiting.delete(id)
      waiting.fail(new Error('the search was ended'))
    }
    await Promise.all(workers.map(worker => worker?.terminate()))
  }

  #prepare(program: ReadProgram, epsilon: number): { input: SearchInput, meshes: SceneMeshes } | undefined {
    const scene = this.#scene, meshes = this.#meshes
    const input = scene === undefined ? undefined : searchInputOf(program, scene, epsilon)
    if (input === undefined || meshes === undefined) return undefined
    const toolpath = this.#shared.get(input.toolpath) ?? shareToolpath(input.toolpath)
    this.#shared.set(input.toolpath, toolpath)
    return { input: { ...input, toolpath }, meshes }
  }

  /** Runs the work with control words on shared memory, and raises the flag there once nobody waits. */
  async #whileWanted<T>(cancellation: Cancellation, work: (control: Int32Array) => Promise<T>): Promise<T> {
    const control = new Int32Array(new SharedArrayBuffer(8))
    const watch = setInterval(() => {
      if (cancellation.cancelled()) Atomics.store(control, Control.cancelled, 1)
    }, cancellationPause)
    try {
      return await work(control)
    } catch (error) {
      // One thread failed: the others need not go on.
      Atomics.store(control, Control.cancelled, 1)
      throw error
    } finally {
      clearInterval(watch)
    }
  }

  #ask(worker: number, question: (id: number) => ToWorker, onRun: (figures: ContactFigures) => void = () => {}, onProgress: (done: number, total: number) => void = () => {}): Promise<FromWorker> {
    return new Promise((resolve, reject) => {
      const id = ++this.#ids
      this.#waiting.set(id, {
        worker,
        answer: message => {
          if (message.say === 'run') {
            onRun(message.figures)
            return
          }
          if (message.say === 'progress') {
            onProgress(message.done, message.total)
            return
          }
          this.#waiting.delete(id)
          if (message.say === 'failed') reject(new Error(message.message))
          else resolve(message)
        },
        fail: reject,
      })
      this.#worker(worker).postMessage(question(id))
    })
  }

  #worker(at: number): Worker {
    const known = this.#workers[at]
    if (known !== undefined) return known
    const worker = new Worker(this.#script)
    this.#workers[at] = worker
    worker.on('message', (message: FromWorker) => this.#waiting.get(message.id)?.answer(message))
    const lost = (error: Error) => {
      if (this.#workers[at] === worker) this.#workers[at] = undefined
      for (const [id, waiting] of this.#waiting) {
        if (waiting.worker !== at) continue
        this.#waiting.delete(id)
        waiting.fail(error)
      }
    }
    worker.on('error', lost)
    worker.on('exit', code => lost(new Error(`a search thread ended with code ${code}`)))
    return worker
  }
}

/** Runs of equal places in the program whatever is asked for, so that results do not depend on it; nearest to `around` first. */
function dealRuns(first: number, count: number, around = first): Int32Array {
  const runs: [number, number][] = []
  for (let start = first - first % motionsPerRun; start < first + count; start += motionsPerRun) {
    const from = Math.max(start, first), to = Math.min(start + motionsPerRun, first + count)
    if (to > from) runs.push([from, to - from])
  }
  const distance = (run: [number, number]) => around < run[0] ? run[0] - around : Math.max(0, around - run[0] - run[1] + 1)
  runs.sort((a, b) => distance(a) - distance(b) || a[0] - b[0])
  return Int32Array.from(runs.flat())
}

/** The motions on shared memory, so that no thread needs a copy. */
function shareToolpath(path: Toolpath): Toolpath {
  const share = <T extends Uint8Array | Uint32Array | Int32Array | Float32Array | Float64Array>(array: T): T => {
    const copy = new (array.constructor as new (buffer: SharedArrayBuffer) => T)(new SharedArrayBuffer(array.byteLength))
    copy.set(array as never)
    return copy
  }
  return {
    ...path,
    kind: share(path.kind), flags: share(path.flags), line: share(path.line), tool: share(path.tool),
    seconds: share(path.seconds), joints: share(path.joints), arcOf: share(path.arcOf), arcs: share(path.arcs),
  }
}
