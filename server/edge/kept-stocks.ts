import { createHash, type Hash } from 'node:crypto'
import type { LeftStock, PackedFamily, StockKeeper, StockStage } from '../engine/service.ts'
import { packRecord, unpackRecord } from './packed-record.ts'
import type { ResultStore } from './result-store.ts'

const kind = 'stock'

const letters = ['x', 'y', 'z'] as const

type Words = Pick<LeftStock, 'error' | 'problems'> & { readonly frame: LeftStock['grid']['frame'] }

/**
 * The stock that set-ups leave, found again by all that it comes from: the engine, sheet and machine, the mesh it is filled from, the
 * motions of its programs with those that they call, and the set-ups before.
 */
export class KeptStocks implements StockKeeper {
  readonly #store: ResultStore
  readonly #engine: string

  /** `engine`: what tells this engine from every other one. */
  constructor(store: ResultStore, engine: string) {
    this.#store = store
    this.#engine = engine
  }

  recall(stage: StockStage): LeftStock | undefined {
    const record = this.#store.read(kind, this.#keyOf(stage))
    if (record === undefined) return undefined
    const { words, arrays } = unpackRecord(record), { frame, error, problems } = words as Words
    const families = letters.flatMap((letter): PackedFamily[] => {
      const places = arrays[`${letter}Places`], slots = arrays[`${letter}Slots`], counts = arrays[`${letter}Counts`], bounds = arrays[`${letter}Bounds`]
      const isWhole = places instanceof Int32Array && slots instanceof Int32Array && counts instanceof Uint8Array && bounds instanceof Float32Array
      return isWhole ? [{ places, slots, counts, bounds }] : []
    })
    return families.length === letters.length ? { grid: { frame, families }, error, problems } : undefined
  }

  keep(stage: StockStage, { grid: { frame, families }, error, problems }: LeftStock): void {
    const words: Words = { frame, error, problems }
    const arrays = families.flatMap(({ places, slots, counts, bounds }, axis) => {
      const letter = letters[axis] ?? ''
      return [[`${letter}Places`, places], [`${letter}Slots`, slots], [`${letter}Counts`, counts], [`${letter}Bounds`, bounds]] as const
    })
    this.#store.write(kind, this.#keyOf(stage), packRecord(words, Object.fromEntries(arrays)))
  }

  #keyOf(stage: StockStage): string {
    const hash = createHash('sha256').update(this.#engine)
    addStage(hash, stage)
    return hash.digest('hex')
  }
}

function addStage(hash: Hash, { source: { scene, file, before }, programs }: StockStage): void {
  const { bytes, ...named } = file ?? {}
  hash.update(JSON.stringify([scene, named, bytes?.length, programs, before !== undefined], inWords))
  if (bytes !== undefined) hash.update(bytes)
  if (before !== undefined) addStage(hash, before)
}

/** JSON holds neither arrays of bare numbers nor infinite numbers, and it knows one nought only. */
function inWords(_: string, value: unknown): unknown {
  if (ArrayBuffer.isView(value)) return { [value.constructor.name]: createHash('sha256').update(new Uint8Array(value.buffer, value.byteOffset, value.byteLength)).digest('hex') }
  if (typeof value === 'number' && (!Number.isFinite(value) || Object.is(value, -0))) return { number: Object.is(value, -0) ? '-0' : String(value) }
  if (value instanceof Map || value instanceof Set) return { [value.constructor.name]: [...value] }
  return value
}
