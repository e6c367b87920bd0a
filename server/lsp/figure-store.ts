import type { InheritedRun } from '../engine/editor-service.ts'
import type { ContactFigures } from '../engine/service.ts'

type Arrays = Pick<ContactFigures, 'value' | 'certified' | 'time' | 'point'>

/**
 * The figures of one reading of a program as the search brings them, run by run and in any order.
 * What has not come yet is known as such: nothing is taken for clear that was not searched.
 */
export class FigureStore {
  readonly count: number
  #arrays: Arrays | undefined
  readonly #known: Uint8Array
  readonly #inside = new Map<number, ContactFigures['inside']>()
  readonly #near = new Map<number, ContactFigures['near']>()
  #done = 0

  /** `count`: motions of the program. */
  constructor(count: number) {
    this.count = count
    this.#known = new Uint8Array(count)
  }

  add(run: ContactFigures): void {
    const first = run.firstMotion, { value, certified, time, point } = this.#room()
    value.set(run.value, first * 4)
    certified.set(run.certified, first * 4)
    time.set(run.time, first * 4)
    point.set(run.point, first * 12)
    for (let i = first; i < first + run.count; i++) {
      if (this.#known[i] === 0) this.#done++
      else {
        this.#inside.delete(i)
        this.#near.delete(i)
      }
      this.#known[i] = 1
    }
    for (const start of run.inside) addTo(this.#inside, start)
    for (const figure of run.near) addTo(this.#near, figure)
  }

  /**
   * Takes over what is known of an earlier reading: `same` gives for each motion the one of that reading that is the
   * same, or -1. Figures stay true as long as motion, tool, limits and mesh do. Answers what was taken over.
   */
  inherit(from: FigureStore, same: Int32Array): InheritedRun[] {
    const known = this.#known, knownThere = from.#known, runs: InheritedRun[] = []
    const isTaken = (i: number, source: number) => same[i] === source && known[i] === 0 && knownThere[source] === 1
    for (let i = 0; i < this.count;) {
      const first = i, source = same[i] ?? -1
      i++
      if (source < 0 || !isTaken(first, source)) continue
      while (i < this.count && isTaken(i, source + i - first)) i++
      runs.push({ first, count: i - first, source })
    }
    for (const { first, count, source } of runs) this.add(from.#run(source, count, first))
    return runs
  }

  /** The runs that are not known yet, in order. */
  gaps(): { readonly first: number, readonly count: number }[] {
    const gaps: { first: number, count: number }[] = []
    for (let i = 0; i < this.count; i++) {
      if (this.#known[i] === 1) continue
      const last = gaps.at(-1)
      if (last !== undefined && last.first + last.count === i) last.count++
      else gaps.push({ first: i, count: 1 })
    }
    return gaps
  }

  /** What is known of starts inside a body and of all but the part. */
  get others(): Pick<ContactFigures, 'inside' | 'near'> {
    return { inside: ofMotions(this.#inside, 0, this.count, 0), near: ofMotions(this.#near, 0, this.count, 0) }
  }

  get done(): number {
    return this.#done
  }

  isKnown(motion: number): boolean {
    return this.#known[motion] === 1
  }

  /** The figures of one motion; undefined where it has not been searched. */
  of(motion: number): Pick<ContactFigures, 'value' | 'certified' | 'time' | 'point'> | undefined {
    if (!this.isKnown(motion)) return undefined
    const from = motion * 4, to = from + 4, { value, certified, time, point } = this.#room()
    return {
      value: value.subarray(from, to), certified: certified.subarray(from, to),
      time: time.subarray(from, to), point: point.subarray(from * 3, to * 3),
    }
  }

  /** The motions [first, first + count); those that are not known yet are in it without a meaning. */
  run(first: number, count: number): ContactFigures {
    return this.#run(first, count, first)
  }

  /** The figures from `margin` motions before the first of these runs to as many behind the last. */
  around(runs: readonly { readonly first: number, readonly count: number }[], margin: number): ContactFigures {
    const first = runs[0], last = runs.at(-1)
    if (first === undefined || last === undefined) return this.run(0, 0)
    const from = Math.max(0, first.first - margin)
    return this.run(from, Math.min(this.count, last.first + last.count + margin) - from)
  }

  /** All smallest distances for the viewer, four a motion; NaN where the motion was not searched. */
  packed(of: 'value' | 'certified'): Float32Array {
    const packed = Float32Array.from(this.#room()[of])
    for (let i = 0; i < this.count; i++) {
      if (!this.isKnown(i)) packed.fill(NaN, i * 4, i * 4 + 4)
    }
    return packed
  }

  /** The points of the mesh that belong to the smallest distances: three numbers a component. */
  get points(): Float32Array {
    return this.#room().point
  }

  /** Room for all figures: of a million motions 128 MB, which a reading that is never searched does without. */
  #room(): Arrays {
    const { count } = this
    this.#arrays ??= { value: new Float64Array(count * 4), certified: new Float64Array(count * 4), time: new Float32Array(count * 4), point: new Float32Array(count * 12) }
    return this.#arrays
  }

  #run(first: number, count: number, firstMotion: number): ContactFigures {
    const { value, certified, time, point } = this.#room()
    return {
      firstMotion,
      count,
      value: value.subarray(first * 4, (first + count) * 4),
      certified: certified.subarray(first * 4, (first + count) * 4),
      time: time.subarray(first * 4, (first + count) * 4),
      point: point.subarray(first * 12, (first + count) * 12),
      inside: ofMotions(this.#inside, first, count, firstMotion),
      near: ofMotions(this.#near, first, count, firstMotion),
    }
  }
}

function addTo<T extends { readonly motion: number }>(lists: Map<number, T[]>, entry: T): void {
  const list = lists.get(entry.motion)
  if (list === undefined) lists.set(entry.motion, [entry])
  else list.push(entry)
}

/** What is kept of the motions [first, first + count), in their order, the first of them called `firstMotion`. */
function ofMotions<T extends { readonly motion: number }>(lists: ReadonlyMap<number, readonly T[]>, first: number, count: number, firstMotion: number): T[] {
  // Whichever are fewer: the motions asked for, or those with an entry.
  const motions = count < lists.size ? Array.from({ length: count }, (_, i) => first + i) : [...lists.keys()].sort((a, b) => a - b)
  return motions.filter(motion => motion >= first && motion < first + count)
    .flatMap(motion => (lists.get(motion) ?? []).map(entry => ({ ...entry, motion: motion - first + firstMotion })))
}
