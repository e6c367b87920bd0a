import { join } from 'node:path'
import type { Cancellation } from '../../shared/cancellation.ts'
import {
  inheritHeights, newHeightFigures, newMotions, otherPatches, resultInputOf, SWEPT_STRIDE,
  type CommonMotions, type HeightFigures, type MeshTree, type ReadProgram, type ResultInput, type Scene, type SurfaceResult, type SurfaceSamples,
} from '../engine/service.ts'
import { ResultControl, type ResultAnswer, type ResultQuestion } from './result-protocol.ts'
import { shareToolpath } from './share-toolpath.ts'
import { ThreadCrew } from './thread-crew.ts'
import { unlessGivenUp } from './while-wanted.ts'

/** How often running work asks whether anyone still waits for it, and tells how far it is, ms. */
const watchPause = 15

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
  readonly #crew: ThreadCrew<ResultQuestion, ResultAnswer>
  #mesh: MeshTree | undefined
  #samples: Promise<SurfaceSamples> | undefined

  /** `script`: the bundled worker, which lies beside the bundle this is part of. */
  constructor(threads: number, script = join(__dirname, 'result-worker.cjs')) {
    this.#crew = new ThreadCrew(threads, script)
  }

  /** Measures a program over a mesh; undefined once nobody waits, and where the sheet cannot be used. */
  async measure(program: ReadProgram, scene: Scene, mesh: MeshTree, search: ResultSearch): Promise<MeasuredSurface | undefined> {
    const input = resultInputOf(program, scene)
    if (input === undefined) return undefined
    // A thread that makes samples does not look up; they are kept for the next time, so it goes on, and nobody need wait for it.
    const samples = await unlessGivenUp(this.#sample(mesh), search.cancellation)
    if (samples === undefined) return undefined
    const shared = { ...input, toolpath: shareToolpath(input.toolpath) }
    return this.#whileWanted(search, control => this.#measure(shared, scene, samples, search, control))
  }

  async #measure(input: ResultInput, scene: Scene, samples: SurfaceSamples, { cancellation, earlier }: ResultSearch, control: Int32Array): Promise<MeasuredSurface | undefined> {
    const count = input.toolpath.count
    const boxes = new Float32Array(new SharedArrayBuffer(count * SWEPT_STRIDE * 4))
    if (earlier !== undefined) takeBoxes(earlier.measured.boxes, earlier.common, boxes)
    const { first, end } = earlier === undefined ? { first: 0, end: count } : newMotions(earlier.common)
    await this.#sweep(input, boxes, first, end, control)
    const { figures, anew } = earlier === undefined
      ? { figures: newHeightFigures(samples.count, true), anew: new Int32Array(0) }
      : inheritHeights(samples, earlier.measured.figures, earlier.common, true)
    const job = { input, samples, figures, boxes }
    const others = otherPatches(samples, anew)
    Atomics.store(control, ResultControl.total, anew.length + others.length)
    await this.#deal({ ...job, first: 0, end: count }, anew, control)
    await this.#deal({ ...job, first, end }, others, control)
    if (cancellation.cancelled()) return undefined
    const mesh = this.#mesh
    if (mesh === undefined) return undefined
    const concluded = await unlessGivenUp(this.#crew.ask(0, id => ({ id, ask: 'conclude', input, samples, figures, stock: scene.setup?.stock, part: mesh })), cancellation)
    if (concluded?.result === undefined || concluded.standing === undefined || cancellation.cancelled()) return undefined
    return { samples, figures, result: concluded.result, standing: concluded.standing, boxes }
  }

  async dispose(): Promise<void> {
    await this.#crew.dispose()
  }

  /** The samples of a mesh, made once. */
  #sample(mesh: MeshTree): Promise<SurfaceSamples> {
    if (this.#samples !== undefined && this.#mesh?.corners === mesh.corners) return this.#samples
    // Only what lies on shared memory: the rest would be copied to every thread with every question.
    const { triangleCount, corners, nodes, links, min, max } = mesh
    const shared: MeshTree = { triangleCount, corners, nodes, links, min, max }
    this.#mesh = shared
    this.#samples = this.#crew.ask(0, id => ({ id, ask: 'sample', mesh: shared })).then(({ samples }) => {
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
    const share = Math.max(256, Math.ceil((end - first) / this.#crew.size))
    const parts = Array.from({ length: Math.ceil(Math.max(0, end - first) / share) }, (_, i) => first + i * share)
    await Promise.all(parts.map((from, thread) =>
      this.#crew.ask(thread, id => ({ id, ask: 'sweep', input, boxes, first: from, end: Math.min(end, from + share), control }))))
  }

  async #deal(job: Parameters<typeof measureQuestion>[1], patches: Int32Array, control: Int32Array): Promise<void> {
    if (patches.length === 0 || job.end <= job.first) {
      Atomics.add(control, ResultControl.done, patches.length)
      return
    }
    Atomics.store(control, ResultControl.next, 0)
    const threads = Math.min(this.#crew.size, patches.length)
    await Promise.all(Array.from({ length: threads }, (_, thread) => this.#crew.ask(thread, id => measureQuestion(id, job, patches, control))))
  }

  /** Runs the work with control words on shared memory, and raises the flag there once nobody waits. */
  async #whileWanted<T>({ cancellation, onProgress }: ResultSearch, work: (control: Int32Array) => Promise<T>): Promise<T> {
    const control = new Int32Array(new SharedArrayBuffer(16))
    const watch = setInterval(() => {
      if (cancellation.cancelled()) Atomics.store(control, ResultControl.cancelled, 1)
      else if (Atomics.load(control, ResultControl.total) > 0) onProgress?.(Atomics.load(control, ResultControl.done), Atomics.load(control, ResultControl.total))
    }, watchPause)
    try {
      return await work(control)
    } catch (error) {
      // One thread failed: the others need not go on.
      Atomics.store(control, ResultControl.cancelled, 1)
      throw error
    } finally {
      clearInterval(watch)
    }
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
