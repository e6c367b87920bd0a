import type { Cancellation } from '../../../shared/cancellation.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import { PoseCells } from '../contact/pose-cells.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import { heightReach } from '../geometry/tolerance.ts'
import { CuttingMotions } from './cutting-motions.ts'
import type { HeightFigures } from './height-figures.ts'
import { LineSearch } from './line-search.ts'
import { BOX_STRIDE, groupLevels, groupSize } from './sample-groups.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** Time cells from here on are not cut while several samples are looked at together. */
const finestGroupCell = 1 << 10

/** What is searched: plain data, large arrays on shared memory. */
export interface HeightJob {
  readonly input: SearchInput
  readonly samples: SurfaceSamples
  readonly figures: HeightFigures
  /** What the cutter sweeps, motion by motion; see `writeSweptBoxes`. */
  readonly boxes: Float32Array
  /** Motions [first, end) alone. */
  readonly first: number
  readonly end: number
}

/**
 * Lowers the heights of the samples to what the motions reach, patch by patch. What comes out for a patch
 * depends on it and the motions alone: not on other patches, nor on who searches them.
 */
export class HeightSearch {
  readonly #input: SearchInput
  readonly #samples: SurfaceSamples
  readonly #figures: HeightFigures
  readonly #cancellation: Cancellation
  readonly #motion: MotionPose
  readonly #cells: PoseCells
  readonly #cutting: CuttingMotions
  /** By tool index. */
  readonly #searches: readonly (readonly LineSearch[])[]
  /** Greatest height in each group. */
  readonly #tallest: Float64Array
  #at = -1

  constructor({ input, samples, figures, boxes, first, end }: HeightJob, cancellation: Cancellation) {
    this.#input = input
    this.#samples = samples
    this.#figures = figures
    this.#cancellation = cancellation
    this.#motion = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
    this.#cells = new PoseCells(this.#motion)
    this.#cutting = new CuttingMotions(boxes, first, end)
    this.#searches = input.assemblies.map(assembly => (assembly?.shapes[0].pieces ?? []).map(piece =>
      new LineSearch(piece, assembly?.shapes[0].excess ?? 0, this.#motion, this.#cells, input.epsilon, heightReach)))
    this.#tallest = new Float64Array(samples.groups.starts[groupLevels])
  }

  /** Searches one patch; false where nobody waits for it any more, and it is not searched to its end. */
  searchPatch(patch: number): boolean {
    const { boxes, starts } = this.#samples.groups
    const group = starts[groupLevels - 1] + patch
    const cutting = this.#cutting, box = group * BOX_STRIDE
    const near = cutting.near(boxes, box, heightReach)
    if (near.length === 0) return true
    this.#measure(groupLevels - 1, group)
    for (const i of strided(near.length)) {
      if (this.#cancellation.cancelled()) return false
      const motion = near[i], tallest = this.#tallest[group]
      if (tallest <= -heightReach) break
      if (tallest < heightReach && !cutting.meets(motion, boxes, box, Math.max(0, tallest))) continue
      this.#at = motion
      this.#motion.begin(motion)
      this.#cells.begin()
      for (const search of this.#searches[this.#input.toolpath.tool[motion]]) this.#descend(search, groupLevels - 1, group, 1)
    }
    return true
  }

  /** Everything of a group that the motion in hand may lower. */
  #descend(search: LineSearch, level: number, group: number, cell: number): void {
    const { groups, count } = this.#samples, tallest = this.#tallest[group]
    if (tallest <= -heightReach) return
    // A point whose distance to the cutter is f all along has nothing of it nearer than f on its normal.
    const bound = search.bound(groups.boxes, group * BOX_STRIDE, cell)
    if (bound > 0 && bound >= tallest - this.#input.epsilon) return
    if (search.timeIsLoose && cell < finestGroupCell) {
      this.#descend(search, level, group, cell * 2)
      this.#descend(search, level, group, cell * 2 + 1)
      return
    }
    const first = (group - groups.starts[level]) * groupSize
    if (level === 0) {
      const end = Math.min(first + groupSize, count)
      let highest = -Infinity
      for (let sample = first; sample < end; sample++) highest = Math.max(highest, this.#lower(search, sample, cell))
      this.#tallest[group] = highest
      return
    }
    const end = Math.min(first + groupSize, groups.starts[level] - groups.starts[level - 1])
    let highest = -Infinity
    for (let member = first; member < end; member++) {
      const child = groups.starts[level - 1] + member
      this.#descend(search, level - 1, child, cell)
      highest = Math.max(highest, this.#tallest[child])
    }
    this.#tallest[group] = highest
  }

  #lower(search: LineSearch, sample: number, cell: number): number {
    const { value, gaveUp, motion } = this.#figures, { points, normals } = this.#samples
    const before = value[sample]
    if (before <= -heightReach) return before
    if (search.run(points, normals, sample * 3, cell, before)) {
      value[sample] = search.value
      motion[sample] = this.#at
    }
    if (search.gaveUp < gaveUp[sample]) gaveUp[sample] = search.gaveUp
    return value[sample]
  }

  /** The greatest heights of a group and all in it, as they stand. */
  #measure(level: number, group: number): number {
    const { groups, count } = this.#samples, first = (group - groups.starts[level]) * groupSize
    const end = Math.min(first + groupSize, level === 0 ? count : groups.starts[level] - groups.starts[level - 1])
    let highest = -Infinity
    for (let i = first; i < end; i++) {
      highest = Math.max(highest, level === 0 ? this.#figures.value[i] : this.#measure(level - 1, groups.starts[level - 1] + i))
    }
    this.#tallest[group] = highest
    return highest
  }
}

/**
 * The numbers below `count`, far apart ones first (bits reversed): a few motions spread over the path bring the
 * heights down near to what they will be, and most of the others then need no more than a look.
 */
function* strided(count: number): Generator<number> {
  const bits = Math.ceil(Math.log2(Math.max(1, count)))
  for (let i = 0; i < 2 ** bits; i++) {
    let reversed = 0
    for (let b = 0; b < bits; b++) reversed = reversed * 2 + (i >> b & 1)
    if (reversed < count) yield reversed
  }
}
