import { FIGURES_PER_MOTION, newContactFigures, placeFigures, type ContactFigures } from './contact-figures.ts'
import type { EffectiveLimits } from './effective-limits.ts'
import { MotionContent } from './motion-content.ts'
import type { NearFigure } from './near-figure.ts'
import type { SearchInput } from './search-motions.ts'
import type { InsideStart } from './starts-inside.ts'

/** Motions that are remembered; beyond this all are forgotten. A kilobyte each at most. */
const mostMotions = 200_000

interface KnownMotion {
  readonly numbers: Float64Array
  readonly value: Float64Array
  readonly certified: Float64Array
  readonly time: Float32Array
  readonly point: Float32Array
  readonly inside: readonly InsideStart[]
  readonly near: readonly NearFigure[]
}

/**
 * Figures by what they depend on, for searches of motions that mostly come again: a motion that goes the same way under the same limits is not
 * searched twice. All searches that use it have the same meshes, tools and machine.
 */
export class KnownFigures {
  readonly #motions = new Map<number, KnownMotion[]>()
  readonly #limits = new Map<string, number>()
  readonly #limitsOfSet = new WeakMap<EffectiveLimits, number>()
  #count = 0

  /** The figures of motions [first, first + count); those that are not known come from `search`, which is asked for runs of them. `isWhole`: the search was not broken off; where it was, nothing more is searched. */
  figures(input: SearchInput, first: number, count: number, search: (first: number, count: number) => ContactFigures, isWhole: () => boolean): ContactFigures {
    const content = new MotionContent(input), figures = newContactFigures(first, count)
    for (let motion = first; motion < first + count;) {
      const known = this.#find(input, content, motion)
      if (known !== undefined) {
        put(known, motion, figures)
        motion++
        continue
      }
      let end = motion + 1
      while (end < first + count && this.#find(input, content, end) === undefined) end++
      const found = search(motion, end - motion)
      if (!isWhole()) return figures
      this.#keepAll(input, content, found)
      placeFigures(figures, found)
      motion = end
    }
    return figures
  }

  /** Takes over what is known of motions [first, first + count) of a program; `at`: where they stand in the input. What is wider than asked for is not taken. */
  learn(input: SearchInput, at: number, figures: ContactFigures, first: number, count: number): void {
    const content = new MotionContent(input), beside = new Beside(figures)
    for (let i = 0; i < count; i++) {
      const from = (first + i - figures.firstMotion) * FIGURES_PER_MOTION
      let isFine = true
      for (let c = 0; c < FIGURES_PER_MOTION; c++) isFine &&= figures.value[from + c] === Infinity || figures.value[from + c] - figures.certified[from + c] <= input.epsilon + 1e-9
      if (isFine && this.#find(input, content, at + i) === undefined) this.#keep(input, content, at + i, figures, from, beside.of(first + i))
    }
  }

  #find(input: SearchInput, content: MotionContent, motion: number): KnownMotion | undefined {
    const list = this.#motions.get(content.hashOf(motion))
    if (list === undefined) return undefined
    const numbers = this.#numbersOf(input, content, motion)
    return list.find(known => known.numbers.length === numbers.length && known.numbers.every((number, k) => number === numbers[k]))
  }

  #keepAll(input: SearchInput, content: MotionContent, found: ContactFigures): void {
    const beside = new Beside(found)
    for (let i = 0; i < found.count; i++) this.#keep(input, content, found.firstMotion + i, found, i * FIGURES_PER_MOTION, beside.of(found.firstMotion + i))
  }

  #keep(input: SearchInput, content: MotionContent, motion: number, figures: ContactFigures, from: number, beside: Pick<KnownMotion, 'inside' | 'near'>): void {
    if (this.#count >= mostMotions) {
      this.#motions.clear()
      this.#count = 0
    }
    const hash = content.hashOf(motion), list = this.#motions.get(hash) ?? [], end = from + FIGURES_PER_MOTION
    this.#motions.set(hash, list)
    list.push({
      numbers: this.#numbersOf(input, content, motion).slice(), value: figures.value.slice(from, end), certified: figures.certified.slice(from, end),
      time: figures.time.slice(from, end), point: figures.point.slice(from * 3, end * 3), ...beside,
    })
    this.#count++
  }

  #numbersOf({ toolpath, limits }: SearchInput, content: MotionContent, motion: number): Float64Array {
    return content.numbersOf(motion, toolpath.tool[motion], this.#nameOf(limits.sets[limits.ofMotion[motion]]))
  }

  /** A set of limits by what it says. */
  #nameOf(set: EffectiveLimits): number {
    const known = this.#limitsOfSet.get(set)
    if (known !== undefined) return known
    const words = JSON.stringify([set.limits, set.barriers]), name = this.#limits.get(words) ?? this.#limits.size
    this.#limits.set(words, name)
    this.#limitsOfSet.set(set, name)
    return name
  }
}

/** What is told of motions in lists, by motion. */
class Beside {
  readonly #inside = new Map<number, InsideStart[]>()
  readonly #near = new Map<number, NearFigure[]>()

  constructor({ inside, near }: ContactFigures) {
    for (const each of inside) this.#inside.set(each.motion, [...this.#inside.get(each.motion) ?? [], each])
    for (const each of near) this.#near.set(each.motion, [...this.#near.get(each.motion) ?? [], each])
  }

  of(motion: number): Pick<KnownMotion, 'inside' | 'near'> {
    return { inside: this.#inside.get(motion) ?? [], near: this.#near.get(motion) ?? [] }
  }
}

function put({ value, certified, time, point, inside, near }: KnownMotion, motion: number, figures: ContactFigures): void {
  const at = (motion - figures.firstMotion) * FIGURES_PER_MOTION
  figures.value.set(value, at)
  figures.certified.set(certified, at)
  figures.time.set(time, at)
  figures.point.set(point, at * 3)
  for (const each of inside) figures.inside.push({ ...each, motion })
  for (const each of near) figures.near.push({ ...each, motion })
}
