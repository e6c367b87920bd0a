import { join } from 'node:path'
import type { Cancellation } from '../../shared/cancellation.ts'
import { sharedMemory } from '../../shared/shared-memory.ts'
import {
  inheritHeights, newHeightFigures, newMotions, otherPatches, resultInputOf, SWEPT_STRIDE,
  type CommonMotions, type HeightFigures, type MeshTree, type ReadProgram, type ResultInput, type Scene, type SurfaceResult, type SurfaceSamples,
} from '../engine/service.ts'
import { Control } from './control-words.ts'
import { reasonOf } from './reason-of.ts'
import type { ResultAnswer, ResultQuestion } from './result-protocol.ts'
import type { StorePlace } from './result-store.ts'
import { answerResult } from './result-thread.ts'
import { shareToolpath } from './share-toolpath.ts'
import type { StartThread } from './start-thread.ts'
import { ThreadTeam } from './thread-team.ts'
import { unlessGivenUp, whileWanted } from './while-wanted.ts'
import { workHere } from './work-here.ts'

export interface ResultPoolOptions {
  /** The bundled worker; by default beside the bundle this is part of. */
  readonly script?: string
  /** Where heights are kept for the next time; absent: nowhere. */
  readonly store?: StorePlace
  /** Hears what is worth a line in a log. */
  readonly log?: (sentence: string) => void
  /** Starts a thread; one that throws has none to give. */
  readonly start?: StartThread<ResultQuestion, ResultAnswer>
}

/** All that was measured of one reading of a program. */
export interface MeasuredSurface {
  readonly samples: SurfaceSamples
  readonly figures: HeightFigures
  readonly result: SurfaceResult
  /** What stands over each sample after all cuts, mm. */
  readonly standing: Float64Array
  /** What the cutter sweeps in each motion, for the next reading. */
  readonly boxes: Float32Array
}

export interface ResultSearch {
  readonly cancellation: Cancellation
  /** Patches of the surface done, of how many. */
  readonly onProgress?: (done: number, total: number) => void
  /** What was measured of an earlier reading on the same mesh and sheet, and which motions are the same. */
  readonly earlier?: { readonly measured: MeasuredSurface, readonly common: CommonMotions }
}

/**
 * The threads that measure what a program leaves of the part. The surface is dealt to them patch by patch, and what
 * comes out for a patch does not depend on who had it.
 */
export class ResultPool {
  readonly #size: number
  readonly #team: ThreadTeam<ResultQuestion, ResultAnswer>
  readonly #script: string
  readonly #store: StorePlace | undefined
  readonly #log: (sentence: string) => void
  #mesh: MeshTree | undefined
  #samples: Promise<SurfaceSamples> | undefined
  /** Ends when the heights measured last are kept: nobody waits for that but who ends the threads. */
  #keeping: Promise<void> = Promise.resolve()

  constructor(threads: number, { script = join(__dirname, 'result-worker.cjs'), store, log = () => {}, start }: ResultPoolOptions = {}) {
    this.#size = Math.max(1, threads)
    this.#script = script
    this.#store = store
    this.#log = log
    this.#team = new ThreadTeam({
      script, start, log,
      here: hear => workHere(question => answerResult(question, hear), ({ id }, failure) => hear({ id, failure })),
      without: reason => `No thread could be started to measure what is left (${reason}); it is measured beside everything else and takes longer.`,
      saidIn: ({ failure }) => failure === undefined ? { is: 'answer' } : { is: 'fault', words: failure },
      ended: 'what is left on the part is no longer measured',
    })
  }

  /** Measures a program over a mesh; undefined once nobody waits, and where the sheet cannot be used. */
  async measure(program: ReadProgram, scene: Scene, mesh: MeshTree, search: ResultSearch): Promise<MeasuredSurface | undefined> {
    const input = resultInputOf(program, scene)
    if (input === undefined) return undefined
    // A thread that makes samples does not look up; they are kept for the next time, so it goes on, and nobody need wait for it.
    const samples = await unlessGivenUp(this.#sample(mesh), search.cancellation)
    if (samples === undefined) return undefined
    const shared = { ...input, toolpath: shareToolpath(input.toolpath) }
    return whileWanted(search, control => this.#measure(shared, scene, samples, search, control))
  }

  async #measure(input: ResultInput, scene: Scene, samples: SurfaceSamples, { cancellation, earlier }: ResultSearch, control: Int32Array): Promise<MeasuredSurface | undefined> {
    const count = input.toolpath.count
    const boxes = new Float32Array(sharedMemory(count * SWEPT_STRIDE * 4))
    if (earlier !== undefined) takeBoxes(earlier.measured.boxes, earlier.common, boxes)
    const { first, end } = earlier === undefined ? { first: 0, end: count } : newMotions(earlier.common)
    await this.#sweep(input, boxes, first, end, control)
    const share = typeof SharedArrayBuffer !== 'undefined'
    // After an edit next to nothing is new: what is kept is looked for when a program is opened only.
    const fresh = earlier === undefined ? newHeightFigures(samples.count, share) : undefined
    const isKept = fresh !== undefined && await unlessGivenUp(this.#recall(input, samples, fresh), cancellation) === true
    const { figures, anew } = earlier === undefined
      ? { figures: fresh ?? newHeightFigures(samples.count, share), anew: new Int32Array(0) }
      : inheritHeights(samples, earlier.measured.figures, earlier.common, share)
    if (cancellation.cancelled()) return undefined
    if (!isKept) {
      const job = { input, samples, figures, boxes }
      const others = otherPatches(samples, anew)
      Atomics.store(control, Control.total, anew.length + others.length)
      await this.#deal({ ...job, first: 0, end: count }, anew, control)
      await this.#deal({ ...job, first, end }, others, control)
    }
    if (cancellation.cancelled()) return undefined
    const mesh = this.#mesh
    if (mesh === undefined) return undefined
    const concluded = await unlessGivenUp(this.#team.ask(0, id => ({ id, ask: 'conclude', input, samples, figures, stock: scene.setup?.stock, part: mesh })), cancellation)
    if (concluded?.result === undefined || concluded.standing === undefined || cancellation.cancelled()) return undefined
    if (!isKept && earlier === undefined) this.#keeping = this.#keep(input, samples, figures)
    return { samples, figures, result: concluded.result, standing: concluded.standing, boxes }
  }

  /** Fills the figures from what is kept; a fault on the way means that they are measured. */
  async #recall(input: ResultInput, samples: SurfaceSamples, figures: HeightFigures): Promise<boolean> {
    const place = this.#store
    if (place === undefined) return false
    try {
      const { isKept } = await this.#team.ask(0, id => ({ id, ask: 'recall', whole: { input, samples, figures, keeping: { place, script: this.#script } } }))
      return isKept === true
    } catch (error) {
      this.#log(`Kept heights could not be read, so all is measured: ${reasonOf(error)}`)
      return false
    }
  }

  async #keep(input: ResultInput, samples: SurfaceSamples, figures: HeightFigures): Promise<void> {
    const place = this.#store
    if (place === undefined) return
    try {
      const { unkept } = await this.#team.ask(0, id => ({ id, ask: 'keep', whole: { input, samples, figures, keeping: { place, script: this.#script } } }))
      if (unkept !== undefined) this.#log(unkept)
    } catch (error) {
      this.#log(`What is left on the part was not kept for the next time: ${reasonOf(error)}`)
    }
  }

  async dispose(): Promise<void> {
    await this.#keeping
    await this.#team.dismiss()
  }

  /** The samples of a mesh, made once. */
  #sample(mesh: MeshTree): Promise<SurfaceSamples> {
    if (this.#samples !== undefined && this.#mesh?.corners === mesh.corners) return this.#samples
    // Only what lies on shared memory: the rest would be copied to every thread with every question.
    const { triangleCount, corners, nodes, links, min, max } = mesh
    const shared: MeshTree = { triangleCount, corners, nodes, links, min, max }
    this.#mesh = shared
    this.#samples = this.#team.ask(0, id => ({ id, ask: 'sample', mesh: shared })).then(({ samples }) => {
      if (samples === undefined) throw new Error('a thread made no samples')
      return samples
    })
    // A fault is not kept: the next check tries again.
    this.#samples.catch(() => {
      this.#samples = undefined
    })
    return this.#samples
  }

  /** The boxes of motions [first, end), an equal share for each thread. */
  async #sweep(input: ResultInput, boxes: Float32Array, first: number, end: number, control: Int32Array): Promise<void> {
    const share = Math.max(256, Math.ceil((end - first) / this.#size))
    const parts = Array.from({ length: Math.ceil(Math.max(0, end - first) / share) }, (_, i) => first + i * share)
    await Promise.all(parts.map((from, thread) =>
      this.#team.ask(thread, id => ({ id, ask: 'sweep', input, boxes, first: from, end: Math.min(end, from + share), control }))))
  }

  async #deal(job: Parameters<typeof measureQuestion>[1], patches: Int32Array, control: Int32Array): Promise<void> {
    if (patches.length === 0 || job.end <= job.first) {
      Atomics.add(control, Control.done, patches.length)
      return
    }
    Atomics.store(control, Control.next, 0)
    const threads = Math.min(this.#size, patches.length)
    await Promise.all(Array.from({ length: threads }, (_, thread) => this.#team.ask(thread, id => measureQuestion(id, job, patches, control))))
  }
}

function measureQuestion(id: number, job: (ResultQuestion & { ask: 'measure' })['job'], patches: Int32Array, control: Int32Array): ResultQuestion {
  return { id, ask: 'measure', job, patches, control }
}

/** Takes over the boxes of the motions that both readings have. */
function takeBoxes(earlier: Float32Array, { same }: CommonMotions, boxes: Float32Array): void {
  same.forEach((old, motion) => {
    if (old >= 0) boxes.set(earlier.subarray(old * SWEPT_STRIDE, (old + 1) * SWEPT_STRIDE), motion * SWEPT_STRIDE)
  })
}
