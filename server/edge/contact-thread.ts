import { readFileSync } from 'node:fs'
import { mendReport, MeshRoom, newContactFigures, openMesh, openObstacles, placeFigures, readProgram, SceneSearcher, type ContactFigures, type FarFigure, type MendReport } from '../engine/service.ts'
import { CalledPrograms } from './called-programs.ts'
import { cancellationOf, Control, isCancelled } from './control-words.ts'
import type { FromWorker, ToWorker } from './contact-protocol.ts'
import { KeptFigures } from './kept-figures.ts'
import { engineIdentity, KeptMeshes } from './kept-meshes.ts'
import { buildWith, takeParts } from './part-builders.ts'
import { ResultStore, type StorePlace } from './result-store.ts'

/** Motions searched between two places at which the work can be put down: a millisecond or so. */
const motionsAtOnce = 8

type Question<Ask extends ToWorker['ask']> = Extract<ToWorker, { readonly ask: Ask }>

/**
 * The work of one thread of the contact pool. It holds no part of a scene between questions: meshes and motions
 * lie on shared memory, and a search that is no longer wanted is told so by a flag there, because a thread
 * at work does not hear messages. Every answer comes in steps, so that where there are no threads it
 * can be worked out between other things.
 */
export class ContactThread {
  readonly #say: (message: FromWorker, transfer?: ArrayBuffer[]) => void
  #store: ResultStore | undefined
  #engine: string | undefined

  constructor(say: (message: FromWorker, transfer?: ArrayBuffer[]) => void) {
    this.#say = say
  }

  /** Answers a question step by step. What it throws is a fault of ours. */
  *answer(message: ToWorker): Generator<void, void> {
    const { id } = message
    switch (message.ask) {
      case 'open-meshes':
        this.#openMeshes(message)
        return
      case 'build-parts':
        takeParts(message.parts, message.next)
        this.#say({ say: 'done', id })
        return
      case 'recall': {
        const missing = this.#figuresOf(message)?.recall(message.runs, figures => this.#say({ say: 'run', id, figures }), () => isCancelled(message.control))
        this.#say({ say: 'recalled', id, missing: missing ?? message.runs })
        return
      }
      case 'keep':
        this.#figuresOf(message)?.keep(message.figures)
        this.#say({ say: 'done', id })
        return
      case 'farthest':
        this.#say({ say: 'farthest', id, figure: this.#farthest(message) })
        return
      case 'mend':
        this.#say({ say: 'mended', id, report: mend(message, (done, total) => this.#say({ say: 'progress', id, done, total })) })
        return
      case 'search':
        yield* this.#search(message)
        return
      default:
        message satisfies never
    }
  }

  *#search({ id, runs, control, input, meshes }: Question<'search'>): Generator<void, void> {
    const searcher = new SceneSearcher(input, meshes, cancellationOf(control))
    for (;;) {
      const run = Atomics.add(control, Control.next, 1)
      const first = runs[2 * run], count = runs[2 * run + 1]
      if (first === undefined || count === undefined || isCancelled(control)) break
      const figures = newContactFigures(first, count)
      for (let done = 0; done < count && !isCancelled(control); done += motionsAtOnce) {
        placeFigures(figures, searcher.searchRun(first + done, Math.min(motionsAtOnce, count - done)))
        yield
      }
      // A run that was broken off is not told: half of it would look as if it had been searched.
      if (isCancelled(control)) break
      this.#say({ say: 'run', id, figures }, buffersOf(figures))
    }
    this.#say({ say: 'done', id })
  }

  #openMeshes({ id, part, others, scene, keeping, memory, helpers, script }: Question<'open-meshes'>): void {
    const keeper = new KeptMeshes(keeping === undefined ? undefined : this.#storeAt(keeping.place, id), keeping === undefined ? '' : this.#engineOf(keeping.script))
    const build = buildWith(helpers, script, message => this.#say({ say: 'log', id, message }))
    const options = { keeper, build, room: memory === undefined ? undefined : new MeshRoom(memory) }
    const { mesh, findings } = openMesh(part, scene, options)
    const { obstacles, findings: ofOthers } = openObstacles(mesh === undefined ? [] : others, scene, options, mesh)
    const identity = mesh === undefined || keeping === undefined ? '' : keeper.identityOf(mesh, obstacles)
    this.#say({ say: 'meshes', id, opened: { mesh, obstacles, findings: [...findings, ...ofOthers], identity } })
  }

  #farthest(message: Question<'farthest'>): FarFigure | undefined {
    const { tool, component, input, meshes, control } = message, kept = this.#figuresOf(message)
    const known = kept?.recallFarthest(tool, component)
    if (known !== undefined) return known === 'none' ? undefined : known
    const figure = new SceneSearcher(input, meshes, cancellationOf(control)).searchFarthest(tool, component)
    if (!isCancelled(control)) kept?.keepFarthest(tool, component, figure)
    return figure
  }

  #figuresOf({ id, keeping, input }: Question<'recall' | 'keep' | 'farthest'>): KeptFigures | undefined {
    if (keeping === undefined) return undefined
    return new KeptFigures(this.#storeAt(keeping.place, id), this.#engineOf(keeping.script), keeping.meshes, input)
  }

  #storeAt(place: StorePlace, id: number): ResultStore {
    this.#store ??= new ResultStore(place, message => this.#say({ say: 'log', id, message }))
    return this.#store
  }

  #engineOf(script: string): string {
    this.#engine ??= engineIdentity(readFileSync(script))
    return this.#engine
  }
}

/** The program is read again here: what was read elsewhere holds more than can be handed over. */
function mend({ program: { path, text, sheetPath }, scene, meshes, figures, options, control }: Question<'mend'>, onProgress: (done: number, total: number) => void): MendReport | undefined {
  const cancellation = cancellationOf(control)
  const program = readProgram({ path, text }, scene, { cancellation, programs: new CalledPrograms(path, sheetPath).find })
  return mendReport({ program, scene, mesh: meshes.part, obstacles: meshes.obstacles, figures, ...options, cancellation, onProgress })
}

function buffersOf({ value, certified, time, point }: ContactFigures): ArrayBuffer[] {
  return [value.buffer, certified.buffer, time.buffer, point.buffer].filter(buffer => buffer instanceof ArrayBuffer)
}
