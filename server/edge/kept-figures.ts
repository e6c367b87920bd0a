import { createHash } from 'node:crypto'
import { contentPieces, MotionContent, partOfFigures, type ContactFigures, type FarFigure, type SearchInput } from '../engine/service.ts'
import type { MotionRun } from './deal-runs.ts'
import { packRecord, unpackRecord } from './packed-record.ts'
import type { ResultStore } from './result-store.ts'

const kind = 'figures', farKind = 'farthest'

/**
 * Figures of programs that were searched before, kept in pieces that are cut where their motions say so: after an edit all but
 * the piece around it are found again, wherever they stand now. The key says all that figures depend on.
 */
export class KeptFigures {
  readonly #store: ResultStore
  readonly #input: SearchInput
  readonly #content: MotionContent
  /** What holds for the whole search: engine, meshes, machine, width of the figures. */
  readonly #scene: string

  /** `meshes`: names the meshes by their content. */
  constructor(store: ResultStore, engine: string, meshes: string, input: SearchInput) {
    const { kinematics, epsilon, fixtures = [], bodies = [] } = input
    this.#store = store
    this.#input = input
    this.#content = new MotionContent(input)
    this.#scene = JSON.stringify([engine, meshes, input.toolpath.axes, kinematics, epsilon, fixtures.map(({ clearance }) => clearance), bodies.map(({ on }) => on)])
  }

  /** Tells the figures that are kept of these motions, and answers the motions of which none are; stops once cancelled. */
  recall(runs: readonly MotionRun[], tell: (figures: ContactFigures) => void, cancelled: () => boolean): MotionRun[] {
    const missing: MotionRun[] = []
    for (const piece of contentPieces(this.#input)) {
      const wanted = runs.flatMap(run => common(run, piece))
      if (wanted.length === 0) continue
      const figures = cancelled() ? undefined : this.#read(piece)
      if (figures === undefined) missing.push(...wanted)
      else for (const { first, count } of wanted) tell(partOfFigures(figures, first, count))
    }
    return joined(missing)
  }

  /** Keeps what has been found of whole pieces, where it is not kept yet. */
  keep(figures: ContactFigures): void {
    const end = figures.firstMotion + figures.count
    for (const piece of contentPieces(this.#input)) {
      if (piece.first < figures.firstMotion || piece.first + piece.count > end) continue
      const key = this.#keyOf(piece)
      if (this.#store.has(kind, key)) continue
      const { value, certified, time, point, inside, near } = partOfFigures(figures, piece.first, piece.count)
      const back = <T extends { readonly motion: number }>(list: readonly T[]) => list.map(entry => ({ ...entry, motion: entry.motion - piece.first }))
      this.#store.write(kind, key, packRecord({ inside: back(inside), near: back(near) }, { value, certified, time, point }))
    }
  }

  /** The smallest distance of a component over the whole program; "none" where it is known that there is none. */
  recallFarthest(tool: number, component: number): FarFigure | 'none' | undefined {
    const record = this.#store.read(farKind, this.#farKey(tool, component))
    return record === undefined ? undefined : unpackRecord(record).words as FarFigure | 'none'
  }

  keepFarthest(tool: number, component: number, figure: FarFigure | undefined): void {
    this.#store.write(farKind, this.#farKey(tool, component), packRecord(figure ?? 'none', {}))
  }

  #farKey(tool: number, component: number): string {
    return createHash('sha256').update(`${tool} ${component} ${this.#keyOf({ first: 0, count: this.#input.toolpath.count })}`).digest('hex')
  }

  #read(piece: MotionRun): ContactFigures | undefined {
    const record = this.#store.read(kind, this.#keyOf(piece))
    if (record === undefined) return undefined
    const { words, arrays: { value, certified, time, point } } = unpackRecord(record)
    if (!(value instanceof Float64Array && certified instanceof Float64Array && time instanceof Float32Array && point instanceof Float32Array)) return undefined
    const { inside, near } = words as Pick<ContactFigures, 'inside' | 'near'>
    const here = <T extends { readonly motion: number }>(list: readonly T[]) => list.map(entry => ({ ...entry, motion: entry.motion + piece.first }))
    return { firstMotion: piece.first, count: piece.count, value, certified, time, point, inside: here(inside), near: here(near) }
  }

  /** Tools and limits are named by what they are, in the order in which the piece first uses them. */
  #keyOf({ first, count }: MotionRun): string {
    const { toolpath, assemblies, limits } = this.#input, hash = createHash('sha256').update(this.#scene)
    const tools = new Map<number, number>(), sets = new Map<number, number>()
    const placeIn = (known: Map<number, number>, index: number) => {
      const place = known.get(index) ?? known.size
      known.set(index, place)
      return place
    }
    for (let i = first; i < first + count; i++) {
      const tool = placeIn(tools, toolpath.tool[i] ?? 0), set = placeIn(sets, limits.ofMotion[i] ?? 0)
      const numbers = this.#content.numbersOf(i, tool, set)
      hash.update(new Uint8Array(numbers.buffer, numbers.byteOffset, numbers.byteLength))
    }
    const inForce = [...sets.keys()].map(set => ({ limits: limits.sets[set]?.limits, barriers: limits.sets[set]?.barriers }))
    return hash.update(JSON.stringify([count, [...tools.keys()].map(tool => assemblies[tool]), inForce])).digest('hex')
  }
}

function common(a: MotionRun, b: MotionRun): MotionRun[] {
  const first = Math.max(a.first, b.first), count = Math.min(a.first + a.count, b.first + b.count) - first
  return count > 0 ? [{ first, count }] : []
}

/** Runs in order, those that touch made one. */
function joined(runs: readonly MotionRun[]): MotionRun[] {
  const result: MotionRun[] = []
  for (const { first, count } of runs) {
    const last = result.at(-1)
    if (last !== undefined && last.first + last.count === first) result[result.length - 1] = { first: last.first, count: last.count + count }
    else result.push({ first, count })
  }
  return result
}
