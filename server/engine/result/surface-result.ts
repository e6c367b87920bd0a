import type { Point } from '../../../shared/finding.ts'
import type { Limits } from '../../../shared/setup.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import { anyTurn, connectSamples, smoothTurn } from './connect-samples.ts'
import { certifiedHeight, leastStanding, type HeightFigures } from './height-figures.ts'
import { isOnRidge, ridgeShare } from './ridges.ts'
import { someNear } from './samples-near.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** Patches of one kind that are told singly; the rest are counted. */
const mostPatches = 12

/** Samples of a patch at which it is looked whether it is a ridge. */
const mostJudged = 1000

/** Cosine of the turn between neighbours over which a surface is one: 25°. */
const smooth = 0.9

/** A figure with the half-width of its proven interval, and where it is met. */
export interface PlacedFigure {
  /** mm. */
  readonly value: number
  readonly bound: number
  readonly point: Point
  /** The motion that came lowest there, or -1. */
  readonly motion: number
}

export type PatchKind = 'leftover' | 'scallop' | 'unreached'

/** Neighbouring samples over which more stands than may, or that no pass comes near. */
export interface ResultPatch {
  readonly kind: PatchKind
  /** What stands at its tallest sample; undefined where no pass comes near and nobody knows the stock. */
  readonly tallest: PlacedFigure | undefined
  /** The place to name: of the tallest, or the middle sample of an unreached patch. */
  readonly point: Point
  readonly motion: number
  /** mm²; of all ridges of the cutter where it is a scallop. */
  readonly area: number
  /** mm² of it that no pass comes near. */
  readonly unreached: number
  /** Heights up to this may stand, mm: the stock to leave and the limit. */
  readonly allowed: number
  /** Set of the limit table that the limit is from; -1: the sheet's own. */
  readonly limitSet: number
  /** The proven intervals hold the limit: nowhere is it shown to be exceeded. */
  readonly open: boolean
  /** Separate places with this one cause. */
  readonly places: number
}

/** What the feed moves have left of the part, and what they have taken of it. */
export interface SurfaceResult {
  readonly samples: number
  /** No point of the mesh lies farther than this from a sample, mm. */
  readonly spacing: number
  /** Surface of the mesh, and of that what a pass comes near, mm². */
  readonly area: number
  readonly reached: number
  /** Of what is reached, where no more stands than may, mm². */
  readonly finished: number
  /** Tallest material where a pass comes near, and the surface over which more stands than may; undefined where none does. */
  readonly leftover: PlacedFigure | undefined
  readonly leftoverArea: number
  /** Deepest cut below the surface; undefined where none goes below. */
  readonly overcut: PlacedFigure | undefined
  /** A cutter made of several convex pieces is at work: where one of them lies wholly below the surface the cut is deeper than told. */
  readonly isOvercutLeast: boolean
  /** By set of the limit table, of the samples whose lowest motion it holds for. */
  readonly passes: readonly PassResult[]
  readonly patches: readonly ResultPatch[]
  /** Patches that are not told singly. */
  readonly more: readonly { readonly kind: PatchKind, readonly patches: number, readonly area: number }[]
}

export interface PassResult {
  readonly limitSet: number
  readonly reached: number
  readonly leftover: number
  readonly overcut: number
}

export interface ResultInput extends SearchInput {
  /** The sheet's own limits, for what no pass comes near. */
  readonly base: Limits
}

/** Puts the heights together once all motions have been searched. `standing`: over each sample, see `standingOver`. */
export function concludeHeights(input: ResultInput, samples: SurfaceSamples, figures: HeightFigures, standing: Float64Array): SurfaceResult {
  return new Conclusion(input, samples, figures, standing).result()
}

class Conclusion {
  readonly #input: ResultInput
  readonly #samples: SurfaceSamples
  readonly #figures: HeightFigures
  /** What may stand over each sample: the upper end of its interval. Infinity where nobody knows. */
  readonly #standing: Float64Array

  constructor(input: ResultInput, samples: SurfaceSamples, figures: HeightFigures, standing: Float64Array) {
    this.#input = input
    this.#samples = samples
    this.#figures = figures
    this.#standing = standing
  }

  result(): SurfaceResult {
    const { areas, count, spacing } = this.#samples, { motion, value } = this.#figures, { sets } = this.#input.limits
    const passes = sets.map((_, limitSet) => ({ limitSet, reached: 0, leftover: 0, overcut: 0 }))
    let area = 0, reached = 0, finished = 0, leftoverArea = 0, tallest = -1, deepest = -1
    const high: number[] = [], far: number[] = []
    for (let i = 0; i < count; i++) {
      const standing = this.#standing[i]
      area += areas[i]
      // A corner of divided facets stands for no surface of its own: the parts about it do.
      if (areas[i] > 0 && standing > this.#allowed(i)) {
        if (motion[i] >= 0 || standing < Infinity) {
          leftoverArea += areas[i]
          high.push(i)
        } else far.push(i)
      }
      if (motion[i] < 0) continue
      reached += areas[i]
      if (standing <= this.#allowed(i)) finished += areas[i]
      const pass = passes[this.#input.limits.ofMotion[motion[i]]]
      pass.reached += areas[i]
      pass.leftover = Math.max(pass.leftover, standing)
      pass.overcut = Math.max(pass.overcut, -value[i])
      if (standing > 0 && (tallest < 0 || standing > this.#standing[tallest])) tallest = i
      if (value[i] < 0 && (deepest < 0 || value[i] < value[deepest])) deepest = i
    }
    return {
      samples: count, spacing, area, reached, finished, leftoverArea,
      leftover: tallest < 0 ? undefined : this.#figureAt(tallest, this.#standing[tallest]),
      overcut: deepest < 0 ? undefined : this.#cutAt(deepest),
      isOvercutLeast: this.#input.assemblies.some((assembly, tool) => (assembly?.shapes[0].pieces.length ?? 0) > 1 && this.#input.toolpath.tool.includes(tool)),
      passes: passes.filter(pass => pass.reached > 0),
      ...this.#patches(high, far),
    }
  }

  #patches(high: readonly number[], far: readonly number[]): Pick<SurfaceResult, 'patches' | 'more'> {
    const leftover: ResultPatch[] = [], unreached: ResultPatch[] = []
    /** By cutter and limits: ridges are one cause wherever they stand. */
    const ridges = new Map<string, { samples: number[], places: number }>()
    for (const patch of connectSamples(this.#samples, high, smoothTurn)) {
      if (patch.every(i => this.#figures.motion[i] < 0) && !patch.some(i => this.#isContinued(i))) {
        unreached.push(this.#patchOf('unreached', patch))
      } else if (this.#isRidge(patch)) {
        const motion = this.#figures.motion[patch[0]], key = `${this.#input.toolpath.tool[motion]} ${this.#setOf(patch[0])}`
        const known = ridges.get(key)
        if (known === undefined) ridges.set(key, { samples: patch, places: 1 })
        else {
          for (const sample of patch) known.samples.push(sample)
          known.places++
        }
      } else leftover.push(this.#patchOf('leftover', patch))
    }
    for (const patch of connectSamples(this.#samples, far, anyTurn)) unreached.push(this.#patchOf('unreached', patch))
    const byHeight = leftover.sort((a, b) => (b.tallest?.value ?? 0) - (a.tallest?.value ?? 0) || b.area - a.area)
    const byArea = unreached.sort((a, b) => b.area - a.area)
    const rest = [byHeight, byArea].flatMap(list => list.length <= mostPatches ? [] : [{
      kind: list[0].kind, patches: list.length - mostPatches, area: list.slice(mostPatches).reduce((sum, { area }) => sum + area, 0),
    }])
    return {
      patches: [
        ...byHeight.slice(0, mostPatches),
        ...[...ridges.values()].map(({ samples, places }) => this.#patchOf('scallop', samples, places)),
        ...byArea.slice(0, mostPatches),
      ],
      more: rest,
    }
  }

  #patchOf(kind: PatchKind, patch: readonly number[], places = 1): ResultPatch {
    const { areas } = this.#samples, { motion } = this.#figures
    let top = patch[0], area = 0, unreached = 0, open = true
    for (const i of patch) {
      area += areas[i]
      if (motion[i] < 0) unreached += areas[i]
      if (this.#standing[i] > this.#standing[top]) top = i
      if (this.#certified(i) > this.#allowed(i)) open = false
    }
    const isKnown = this.#standing[top] < Infinity
    const at = isKnown ? top : this.#middleOf(patch)
    return {
      kind, area, unreached, places, open: open && isKnown,
      tallest: isKnown ? this.#figureAt(top, this.#standing[top]) : undefined,
      point: this.#pointOf(at),
      motion: motion[at],
      allowed: this.#allowed(at),
      limitSet: this.#setOf(at),
    }
  }

  /** The sample nearest to the patch's mean point. */
  #middleOf(patch: readonly number[]): number {
    const { points } = this.#samples
    const mean = [0, 1, 2].map(k => patch.reduce((sum, i) => sum + points[i * 3 + k], 0) / patch.length)
    const square = (i: number) => mean.reduce((sum, value, k) => sum + (points[i * 3 + k] - value) ** 2, 0)
    return patch.reduce((best, i) => square(i) < square(best) ? i : best)
  }

  /** A patch of ridges: passes have come near all of it, and most of it has surface within its limit on both sides. */
  #isRidge(patch: readonly number[]): boolean {
    const { areas } = this.#samples, { motion } = this.#figures, { toolpath, assemblies } = this.#input
    if (patch.some(i => motion[i] < 0)) return false
    let area = 0, onRidge = 0
    // A large patch is judged by samples spread over it.
    for (let k = 0; k < patch.length; k += Math.ceil(patch.length / mostJudged)) {
      const i = patch[k]
      const radius = Math.max(...(assemblies[toolpath.tool[motion[i]]]?.shapes[0].pieces ?? []).map(piece => piece.radius), 0)
      area += areas[i]
      if (isOnRidge(this.#samples, i, this.#standing[i], radius, other => this.#standing[other] <= this.#allowed(other))) onRidge += areas[i]
    }
    return onRidge >= ridgeShare * area
  }

  /** Whether the surface goes on smoothly into surface that a pass has come near: then a pass is lacking, and no undercut. */
  #isContinued(sample: number): boolean {
    const { normals, spacing } = this.#samples, at = sample * 3
    return someNear(this.#samples, sample, spacing * 2, other =>
      this.#figures.motion[other] >= 0
      && normals[at] * normals[other * 3] + normals[at + 1] * normals[other * 3 + 1] + normals[at + 2] * normals[other * 3 + 2] > smooth)
  }

  #setOf(sample: number): number {
    const motion = this.#figures.motion[sample]
    return motion < 0 ? -1 : this.#input.limits.ofMotion[motion]
  }

  /** What may stand over a sample, by the limits of the motion that came lowest there. */
  #allowed(sample: number): number {
    const { leftover, stockToLeave } = this.#input.limits.sets[this.#setOf(sample)]?.limits ?? this.#input.base
    return leftover + stockToLeave
  }

  /** Lower end of what stands over a sample. */
  #certified(sample: number): number {
    return leastStanding(this.#figures, this.#standing, sample, this.#input.epsilon)
  }

  #figureAt(sample: number, value: number): PlacedFigure {
    const low = Math.max(0, this.#certified(sample))
    return { value: (value + low) / 2, bound: (value - low) / 2, point: this.#pointOf(sample), motion: this.#figures.motion[sample] }
  }

  #cutAt(sample: number): PlacedFigure {
    const high = -this.#figures.value[sample], deep = -certifiedHeight(this.#figures, sample, this.#input.epsilon)
    return { value: (high + deep) / 2, bound: (deep - high) / 2, point: this.#pointOf(sample), motion: this.#figures.motion[sample] }
  }

  #pointOf(sample: number): Point {
    const { points } = this.#samples
    return [points[sample * 3], points[sample * 3 + 1], points[sample * 3 + 2]]
  }
}
