import type { Cancellation } from '../../../shared/cancellation.ts'
import { roundingAllowance } from '../geometry/tolerance.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import { NODE_STRIDE } from '../mesh/tree-nodes.ts'
import { deepestBodyHalving, firstMoment, halfMoments, halfTime, momentTime, type FramePoses } from './frame-poses.ts'
import { TrianglePair } from './triangle-pair.ts'

/** Pairs of nodes and of triangles looked at before a search gives up and says what it has proven so far. */
const workLimit = 60_000

const cancellationMask = 0xff

/** Cells below this number can still be halved in time. */
const firstUncuttable = 1 << deepestBodyHalving

/**
 * The smallest distance of two meshes over one whole motion, by branch and bound over (node of the
 * moving mesh) × (node of the other) × (time cell), without sampling. Bodies that cross are at 0.
 *
 * For a fixed unit vector n, any point x of the moving node and any point b of the other one are at
 * least n · (y(x, t) − b) apart. n · y is not below its smaller end over a time cell of half-length τ by
 * more than ½ τ² sup|y″|, so the supports of both boxes along n at the cell's two ends, less that, bound
 * the distance over the whole cell. n is the way between the boxes in mid-cell; for two triangles
 * that between their closest points, where the bound closes.
 */
export class PairSearch {
  /** Smallest value attained; Infinity when nothing was found below the cap. */
  value = Infinity
  /** Nothing comes nearer than this during the motion. */
  certified = 0
  time = 0
  /** The place on the other mesh, in its own frame. */
  readonly point = new Float64Array(3)

  readonly #moving: MeshTree
  readonly #other: MeshTree
  readonly #poses: FramePoses
  readonly #cancellation: Cancellation
  readonly #pair = new TrianglePair()
  readonly #laid = new Float64Array(9)
  readonly #normal = new Float64Array(3)
  #stack: { a: number, b: number, cell: number, bound: number, split: number }[] = []
  #best = Infinity
  #gaveUp = Infinity
  /** Set by #pairBound: the end of the cell at which the triangles are nearer along the way between them. */
  #lowerEnd = 0
  /** Set by #bound: how far the moving node travels in the cell, mm. */
  #travel = 0

  constructor(moving: MeshTree, other: MeshTree, poses: FramePoses, cancellation: Cancellation) {
    this.#moving = moving
    this.#other = other
    this.#poses = poses
    this.#cancellation = cancellation
  }

  /** Searches the motion in hand for distances below `cap`, to a proven width of `epsilon`. */
  run(cap: number, epsilon: number): void {
    this.#best = cap
    this.#gaveUp = Infinity
    this.value = Infinity
    this.#stack = []
    let work = 0
    this.#push(0, 0, 1, epsilon)
    for (let cell = this.#stack.pop(); cell !== undefined && this.#best > 0; cell = this.#stack.pop()) {
      if (cell.bound >= this.#best - epsilon) continue
      if ((++work & cancellationMask) === 0 && this.#cancellation.cancelled()) work = workLimit
      if (work > workLimit) {
        this.#gaveUp = Math.min(this.#gaveUp, cell.bound)
        continue
      }
      this.#open(cell, epsilon)
    }
    this.certified = Math.max(0, Math.min(this.#best - epsilon, this.#gaveUp) - 100 * roundingAllowance)
  }

  #open({ a, b, cell, split }: { a: number, b: number, cell: number, split: number }, epsilon: number): void {
    const aIsLeaf = this.#moving.links[a * 2 + 1] > 0, bIsLeaf = this.#other.links[b * 2 + 1] > 0
    if (aIsLeaf && bIsLeaf) {
      const rest = this.#leaves(a, b, cell, epsilon)
      if (rest >= this.#best - epsilon) return
      if (cell >= firstUncuttable) this.#gaveUp = Math.min(this.#gaveUp, Math.max(0, rest))
      else this.#pushTwo(a, b, cell * 2, a, b, cell * 2 + 1, epsilon)
      return
    }
    const radiusA = this.#moving.nodes[a * NODE_STRIDE + 6], radiusB = this.#other.nodes[b * NODE_STRIDE + 6]
    if (split > Math.max(radiusA, radiusB) && cell < firstUncuttable) this.#pushTwo(a, b, cell * 2, a, b, cell * 2 + 1, epsilon)
    else if (!aIsLeaf && (bIsLeaf || radiusA > radiusB)) this.#pushTwo(a + 1, b, cell, this.#moving.links[a * 2], b, cell, epsilon)
    else this.#pushTwo(a, b + 1, cell, a, this.#other.links[b * 2], cell, epsilon)
  }

  /** Pushes both cells, the nearer one on top. */
  #pushTwo(a: number, b: number, cell: number, a2: number, b2: number, cell2: number, epsilon: number): void {
    const low = this.#stack.length
    this.#push(a, b, cell, epsilon)
    this.#push(a2, b2, cell2, epsilon)
    const stack = this.#stack
    if (stack.length === low + 2 && stack[low + 1].bound > stack[low].bound) stack.push(...stack.splice(low, 2).reverse())
  }

  #push(a: number, b: number, cell: number, epsilon: number): void {
    const bound = this.#bound(a, b, cell)
    if (bound < this.#best - epsilon) this.#stack.push({ a, b, cell, bound, split: this.#travel })
  }

  /** Lower bound of the distance of two nodes over the time cell. */
  #bound(a: number, b: number, cell: number): number {
    const A = this.#moving.nodes, B = this.#other.nodes, i = a * NODE_STRIDE, j = b * NODE_STRIDE
    const { numbers: m, motion } = this.#poses, n = this.#normal
    const start = firstMoment(cell), half = halfMoments(cell), tau = halfTime(cell)
    const p0 = this.#poses.at(start), p1 = this.#poses.at(start + 2 * half), p = this.#poses.at(start + half)
    const cx = A[i], cy = A[i + 1], cz = A[i + 2]
    const gap = this.#between(A, i, B, j, m, p)
    const fromReference = Math.hypot(cx - motion.reference[0], cy - motion.reference[1], cz - motion.reference[2]) + A[i + 6]
    const bend = 0.5 * tau * tau * (motion.bend + motion.turnBend * fromReference)
    const way = (k: number) => (m[p1 + 3 * k] - m[p0 + 3 * k]) * cx + (m[p1 + 3 * k + 1] - m[p0 + 3 * k + 1]) * cy + (m[p1 + 3 * k + 2] - m[p0 + 3 * k + 2]) * cz + m[p1 + 9 + k] - m[p0 + 9 + k]
    this.#travel = Math.hypot(way(0), way(1), way(2)) + bend + 2 * tau * motion.turn * A[i + 6]
    if (gap <= 0) return 0
    const before = this.#heightOver(A, i, B, j, m, p0, n), after = this.#heightOver(A, i, B, j, m, p1, n)
    return Math.max(0, Math.min(before, after) - bend)
  }

  /** The gap of the two boxes in the pose at p, and into #normal the way across it: that of the other's axes or of the moving one's, whichever is wider. */
  #between(A: Float32Array, i: number, B: Float32Array, j: number, m: Float64Array, p: number): number {
    const n = this.#normal
    const dx = m[p] * A[i] + m[p + 1] * A[i + 1] + m[p + 2] * A[i + 2] + m[p + 9] - B[j]
    const dy = m[p + 3] * A[i] + m[p + 4] * A[i + 1] + m[p + 5] * A[i + 2] + m[p + 10] - B[j + 1]
    const dz = m[p + 6] * A[i] + m[p + 7] * A[i + 1] + m[p + 8] * A[i + 2] + m[p + 11] - B[j + 2]
    const ox = beyond(dx, B[j + 3] + Math.abs(m[p]) * A[i + 3] + Math.abs(m[p + 1]) * A[i + 4] + Math.abs(m[p + 2]) * A[i + 5])
    const oy = beyond(dy, B[j + 4] + Math.abs(m[p + 3]) * A[i + 3] + Math.abs(m[p + 4]) * A[i + 4] + Math.abs(m[p + 5]) * A[i + 5])
    const oz = beyond(dz, B[j + 5] + Math.abs(m[p + 6]) * A[i + 3] + Math.abs(m[p + 7]) * A[i + 4] + Math.abs(m[p + 8]) * A[i + 5])
    const ax = m[p] * dx + m[p + 3] * dy + m[p + 6] * dz, ay = m[p + 1] * dx + m[p + 4] * dy + m[p + 7] * dz, az = m[p + 2] * dx + m[p + 5] * dy + m[p + 8] * dz
    const mx = beyond(ax, A[i + 3] + Math.abs(m[p]) * B[j + 3] + Math.abs(m[p + 3]) * B[j + 4] + Math.abs(m[p + 6]) * B[j + 5])
    const my = beyond(ay, A[i + 4] + Math.abs(m[p + 1]) * B[j + 3] + Math.abs(m[p + 4]) * B[j + 4] + Math.abs(m[p + 7]) * B[j + 5])
    const mz = beyond(az, A[i + 5] + Math.abs(m[p + 2]) * B[j + 3] + Math.abs(m[p + 5]) * B[j + 4] + Math.abs(m[p + 8]) * B[j + 5])
    const others = Math.sqrt(ox * ox + oy * oy + oz * oz), own = Math.sqrt(mx * mx + my * my + mz * mz)
    if (others >= own) {
      if (others <= 0) return 0
      n[0] = ox / others
      n[1] = oy / others
      n[2] = oz / others
      return others
    }
    n[0] = (m[p] * mx + m[p + 1] * my + m[p + 2] * mz) / own
    n[1] = (m[p + 3] * mx + m[p + 4] * my + m[p + 5] * mz) / own
    n[2] = (m[p + 6] * mx + m[p + 7] * my + m[p + 8] * mz) / own
    return own
  }

  /** How far the moving box stands over the other one along n, in the pose at p. */
  #heightOver(A: Float32Array, i: number, B: Float32Array, j: number, m: Float64Array, p: number, n: Float64Array): number {
    const ux = m[p] * n[0] + m[p + 3] * n[1] + m[p + 6] * n[2]
    const uy = m[p + 1] * n[0] + m[p + 4] * n[1] + m[p + 7] * n[2]
    const uz = m[p + 2] * n[0] + m[p + 5] * n[1] + m[p + 8] * n[2]
    const centre = ux * A[i] + uy * A[i + 1] + uz * A[i + 2] + n[0] * (m[p + 9] - B[j]) + n[1] * (m[p + 10] - B[j + 1]) + n[2] * (m[p + 11] - B[j + 2])
    return centre - Math.abs(ux) * A[i + 3] - Math.abs(uy) * A[i + 4] - Math.abs(uz) * A[i + 5]
      - Math.abs(n[0]) * B[j + 3] - Math.abs(n[1]) * B[j + 4] - Math.abs(n[2]) * B[j + 5]
  }

  /** Tries the triangles of two leaves in mid-cell, and bounds all their pairs over the cell. */
  #leaves(a: number, b: number, cell: number, epsilon: number): number {
    const first = this.#moving.links[a * 2], end = first + this.#moving.links[a * 2 + 1]
    const firstB = this.#other.links[b * 2], endB = firstB + this.#other.links[b * 2 + 1]
    const middle = firstMoment(cell) + halfMoments(cell)
    let rest = Infinity
    for (let t = first * 9; t < end * 9; t += 9) {
      for (let u = firstB * 9; u < endB * 9; u += 9) {
        const distance = this.#attain(t, u, middle)
        const bound = distance <= 0 ? 0 : this.#pairBound(t, u, cell)
        if (bound >= this.#best - epsilon) continue
        // Most often the least distance is that at the end of the cell at which the bound is least.
        this.#attain(t, u, this.#lowerEnd)
        if (bound < this.#best - epsilon) rest = Math.min(rest, bound)
      }
    }
    return rest
  }

  /** The distance of two triangles at a moment, which is kept if it is the smallest so far. */
  #attain(t: number, u: number, moment: number): number {
    const corners = this.#moving.corners, laid = this.#laid, { numbers: m } = this.#poses, p = this.#poses.at(moment)
    for (let k = 0; k < 9; k += 3) {
      const x = corners[t + k], y = corners[t + k + 1], z = corners[t + k + 2]
      for (let row = 0; row < 3; row++) laid[k + row] = m[p + 3 * row] * x + m[p + 3 * row + 1] * y + m[p + 3 * row + 2] * z + m[p + 9 + row]
    }
    this.#pair.measure(laid, 0, this.#other.corners, u)
    const { distance, second } = this.#pair
    if (distance < this.#best) {
      this.#best = distance
      this.value = distance
      this.time = momentTime(moment)
      this.point.set(second)
    }
    return distance
  }

  /** Lower bound of two triangles' distance over the cell, along the way between their closest points in mid-cell. */
  #pairBound(t: number, u: number, cell: number): number {
    const { first, second, distance } = this.#pair, n = this.#normal, A = this.#moving.corners, B = this.#other.corners
    const { numbers: m, motion } = this.#poses
    for (let k = 0; k < 3; k++) n[k] = (first[k] - second[k]) / distance
    let highest = -Infinity, farthest = 0
    for (let k = 0; k < 9; k += 3) highest = Math.max(highest, n[0] * B[u + k] + n[1] * B[u + k + 1] + n[2] * B[u + k + 2])
    const start = firstMoment(cell), tau = halfTime(cell)
    let lowest = Infinity
    for (const moment of [start, start + 2 * halfMoments(cell)]) {
      const p = this.#poses.at(moment), before = lowest
      const ux = m[p] * n[0] + m[p + 3] * n[1] + m[p + 6] * n[2]
      const uy = m[p + 1] * n[0] + m[p + 4] * n[1] + m[p + 7] * n[2]
      const uz = m[p + 2] * n[0] + m[p + 5] * n[1] + m[p + 8] * n[2]
      const o = n[0] * m[p + 9] + n[1] * m[p + 10] + n[2] * m[p + 11]
      for (let k = 0; k < 9; k += 3) lowest = Math.min(lowest, ux * A[t + k] + uy * A[t + k + 1] + uz * A[t + k + 2] + o)
      if (lowest < before) this.#lowerEnd = moment
    }
    for (let k = 0; k < 9; k += 3) {
      farthest = Math.max(farthest, Math.hypot(A[t + k] - motion.reference[0], A[t + k + 1] - motion.reference[1], A[t + k + 2] - motion.reference[2]))
    }
    return lowest - highest - 0.5 * tau * tau * (motion.bend + motion.turnBend * farthest)
  }
}

/** How far a distance along an axis goes beyond both half-extents, with its sign. */
function beyond(distance: number, reach: number): number {
  return distance > reach ? distance - reach : distance < -reach ? distance + reach : 0
}
