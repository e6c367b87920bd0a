import type { Cancellation } from '../../../shared/cancellation.ts'
import type { Point } from '../../../shared/finding.ts'
import { FrameMotion, type MachineFrame } from '../../../shared/frame-motion.ts'
import { applyChain, machineToPart } from '../../../shared/kinematics.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import { bodyEpsilon, finestBodyEpsilon } from '../geometry/tolerance.ts'
import { buildMeshTree, type MeshTree } from '../mesh/mesh-tree.ts'
import { bodyPairs, isOnHead, toolPairs, type BodyPair } from './body-pairs.ts'
import { wantedOfBody } from './body-verdict.ts'
import type { ContactFigures } from './contact-figures.ts'
import { FramePoses } from './frame-poses.ts'
import { latheMesh } from './lathe-mesh.ts'
import type { Obstacle } from './obstacle.ts'
import { PairSearch } from './pair-search.ts'
import type { SearchInput } from './search-motions.ts'
import { isInside } from './starts-inside.ts'

interface SearchedPair extends BodyPair {
  readonly onHead: boolean
  readonly poses: FramePoses
  readonly search: PairSearch
}

/** Searches motions for bodies of the machine that touch part, fixtures, stock, the tool or each other. */
export class BodySearch {
  readonly #input: SearchInput
  readonly #obstacles: readonly Obstacle[]
  readonly #motion: MotionPose
  readonly #cancellation: Cancellation
  readonly #pairs: readonly SearchedPair[]
  /** By tool index, made when a tool is first met. */
  readonly #toolPairs = new Map<number, readonly SearchedPair[]>()
  readonly #joints: Float64Array

  /** `motion` has the motion in hand that is asked for. */
  constructor(input: SearchInput, part: MeshTree, obstacles: readonly Obstacle[], motion: MotionPose, cancellation: Cancellation) {
    this.#input = input
    this.#obstacles = obstacles
    this.#motion = motion
    this.#cancellation = cancellation
    this.#joints = new Float64Array(input.toolpath.axes.length)
    this.#pairs = bodyPairs(input.kinematics, input.bodies ?? [], part, obstacles).map(pair => this.#searched(pair))
  }

  /** Adds the figures of the motion in hand that break a limit, or may. */
  search(motion: number, figures: ContactFigures): void {
    const { flags, tool } = this.#input.toolpath
    if ((flags[motion] & MotionFlag.unknownStart) !== 0) return
    const isStart = motion === 0 || (flags[motion - 1] & MotionFlag.unknownStart) !== 0
    for (const pair of this.#pairs) this.#searchPair(pair, motion, isStart, figures)
    for (const pair of this.#pairsOfTool(tool[motion])) this.#searchPair(pair, motion, isStart || tool[motion - 1] !== tool[motion], figures)
  }

  #searchPair(pair: SearchedPair, motion: number, isStart: boolean, figures: ContactFigures): void {
    const { poses, search, slack, grown, who, against } = pair, { limits } = this.#input
    poses.begin(motion)
    // A rotary axis carries a linear one under tool-centre control: nothing can be proven, and the inputs say so.
    if (poses.motion.bend === Infinity) return
    const wanted = wantedOfBody(pair, against, limits.sets[limits.ofMotion[motion]].limits)
    const cap = wanted + slack + grown + 2 * bodyEpsilon
    search.run(cap, bodyEpsilon)
    if (search.certified - slack - grown < wanted && search.value - grown >= wanted) {
      // The interval holds the limit: anything below it is looked for anew, more finely.
      search.run(wanted + slack + grown + 2 * finestBodyEpsilon, finestBodyEpsilon)
    }
    let value = Math.max(0, Math.min(search.value, cap) - grown), certified = Math.max(0, search.certified - slack - grown), time = search.time
    let place: Float64Array = search.value < cap ? search.point : Float64Array.from([0, 1, 2], k => (pair.other.min[k] + pair.other.max[k]) / 2)
    if (isStart && value > 0) {
      // A body wholly inside another crosses none of its facets.
      const inside = this.#insideAtStart(pair)
      if (inside !== undefined) {
        value = certified = time = 0
        place = inside
      }
    }
    if (certified >= wanted) return
    figures.near.push({ motion, who, against, value, certified, time, point: this.#onPart(place, pair.to, time) })
  }

  /** A point of either mesh that lies inside the other where the motion begins, in the other's frame. */
  #insideAtStart({ moving, other, poses }: SearchedPair): Float64Array | undefined {
    const { numbers: m } = poses, p = poses.at(0), c = moving.corners, o = other.corners
    const laid = [0, 1, 2].map(row => m[p + 3 * row] * c[0] + m[p + 3 * row + 1] * c[1] + m[p + 3 * row + 2] * c[2] + m[p + 9 + row]) as [number, number, number]
    if (isInside(other, laid)) return Float64Array.from(laid)
    const d = [0, 1, 2].map(k => o[k] - m[p + 9 + k])
    const back = [0, 1, 2].map(k => m[p + k] * d[0] + m[p + 3 + k] * d[1] + m[p + 6 + k] * d[2]) as [number, number, number]
    return isInside(moving, back) ? o.slice(0, 3) : undefined
  }

  /** A point of the frame in the part frame, at a time of the motion in hand. */
  #onPart(place: Float64Array, frame: MachineFrame, time: number): Point {
    const point = Float64Array.from(place), k = this.#input.kinematics
    if (frame !== 'part') {
      this.#motion.jointsAt(time, this.#joints)
      applyChain(k[frame.on].slice(0, frame.links), this.#joints, point, true)
      machineToPart(k, this.#joints, point, true)
    }
    return [point[0], point[1], point[2]]
  }

  #searched(pair: BodyPair): SearchedPair {
    const { kinematics, toolpath, assemblies, bodies = [] } = this.#input
    const { min, max } = pair.moving
    const centre = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2] as const
    const lengths = assemblies.map(assembly => assembly?.gaugeLength ?? 0)
    const poses = new FramePoses(new FrameMotion(kinematics, toolpath, lengths, this.#motion, pair.from, pair.to, centre))
    const onHead = typeof pair.who === 'number' && isOnHead(kinematics, bodies[pair.who])
    return { ...pair, onHead, poses, search: new PairSearch(pair.moving, pair.other, poses, this.#cancellation) }
  }

  #pairsOfTool(tool: number): readonly SearchedPair[] {
    const known = this.#toolPairs.get(tool)
    if (known !== undefined) return known
    const { kinematics, assemblies, bodies = [] } = this.#input, assembly = assemblies.at(tool)
    const pairs = (assembly?.shapes ?? []).flatMap(shape => {
      const lathe = latheMesh(shape, kinematics, assembly?.gaugeLength ?? 0)
      if (lathe === undefined) return []
      return toolPairs(kinematics, bodies, shape.component, buildMeshTree(lathe.corners, false).tree, lathe.slack, this.#obstacles).map(pair => this.#searched(pair))
    })
    this.#toolPairs.set(tool, pairs)
    return pairs
  }
}
