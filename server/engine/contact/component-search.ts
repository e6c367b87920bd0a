import type { Cancellation } from '../../../shared/cancellation.ts'
import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { BallTip, PieceDistance } from '../geometry/piece-distance.ts'
import { roundingAllowance } from '../geometry/tolerance.ts'
import { NODE_STRIDE, type MeshTree } from '../mesh/mesh-tree.ts'
import { cellHalf, cellMiddle, firstUncuttable, POSE_STRIDE } from './time-cells.ts'
import { TriangleSearch } from './triangle-search.ts'
import type { PoseCells } from './pose-cells.ts'

/** Cells of the tree and of triangles looked at before a search gives up and says what it has proven so far: some 50 ms. */
const workLimit = 60_000

/** A time that is left out is rounded to cells below this number: one of 256 parts of the motion. */
const coarsestLeft = 256

/**
 * mm. Deeper than this nobody needs the last micrometre, but everybody wants to be told soon that the
 * work offset is wrong: the search then gives up earlier, and says how far it has come.
 */
const grossDepth = 1
const grossWorkLimit = 2_000

/** A search asks every so many cells whether anyone still waits: well under a millisecond. */
const cancellationMask = 0x3ff

/**
 * The smallest signed distance of one convex piece to the mesh over one whole motion, by branch and
 * bound over (tree node) × (time cell), without sampling.
 *
 * With c a node's centre, h its half-extents, u = c − tool point, g = ∇f(c) at the cell's middle, V
 * the tool point's velocity and Ω the axis' turning, the relative place y of a point x of the node
 * obeys y′ = −(V + Ω × u) in the tool frame and |y″| ≤ |V′| + 2|Ω||V| + (|Ω′| + |Ω|²)|u|. f is
 * convex and 1-Lipschitz, so its tangent bounds it from below:
 *   f ≥ f(c) − max_{x} g·(c − x) − |g·(V + Ω × u)| τ − |Ω| τ |h| − ½ τ² sup|y″|.
 */
export class ComponentSearch {
  /** Smallest value attained; Infinity when nothing was found below the cap. */
  value = Infinity
  /** No point of the mesh comes nearer than this during the motion. */
  certified = -Infinity
  /** Triangle, point and time of the smallest value. */
  triangle = -1
  readonly point = new Float64Array(3)
  time = 0

  readonly #tree: MeshTree
  readonly #piece: PieceDistance
  readonly #cells: PoseCells
  readonly #motion: MotionPose
  readonly #triangles: TriangleSearch
  readonly #cancellation: Cancellation
  #nodeStack = new Int32Array(256)
  #timeStack = new Int32Array(256)
  #boundStack = new Float64Array(256)
  #splitStack = new Uint8Array(256)
  #top = 0
  /** Set by #bound: whether halving time promises more than opening the node. */
  #timeIsLoose = false
  /** Set by #bound: f at the node's centre in mid-cell. */
  #atCentre = 0

  constructor(tree: MeshTree, piece: PieceDistance, motion: MotionPose, cells: PoseCells, cancellation: Cancellation) {
    this.#cancellation = cancellation
    this.#tree = tree
    this.#piece = piece
    this.#motion = motion
    this.#cells = cells
    this.#triangles = new TriangleSearch(tree, piece, motion, cells)
  }

  /**
   * Searches the motion in hand for values below `cap`, to a proven width of `epsilon`. `from` leaves
   * out the time before it, rounded down to a time cell. Afterwards the true minimum lies in
   * [certified, value], or is at least `certified` when nothing was found. The answer depends on the
   * motion alone, not on what was searched before: results can be kept and used again.
   */
  run(cap: number, epsilon: number, from = 0): void {
    const triangles = this.#triangles, links = this.#tree.links
    triangles.start(cap, epsilon)
    let gaveUp = Infinity
    this.#top = 0
    this.#pushRoots(from, triangles.best - epsilon)
    // No point lies deeper in the piece than its inscribed ball: at that depth it is buried, and the search over.
    const deepest = -this.#piece.inradius
    while (this.#top > 0 && triangles.best - epsilon > deepest) {
      const i = --this.#top
      if (this.#boundStack[i] >= triangles.best - epsilon) continue
      const node = this.#nodeStack[i], cell = this.#timeStack[i]
      if ((++triangles.work & cancellationMask) === 0 && this.#cancellation.cancelled()) triangles.work = workLimit
      if (triangles.work > (triangles.best < -grossDepth ? grossWorkLimit : workLimit)) {
        gaveUp = Math.min(gaveUp, this.#boundStack[i])
        continue
      }
      if (this.#splitStack[i] === 1) {
        this.#pushPair(node, cell * 2, node, cell * 2 + 1, epsilon)
      } else if (links[node * 2 + 1] === 0) {
        this.#pushPair(node + 1, cell, links[node * 2], cell, epsilon)
      } else {
        const first = links[node * 2], end = first + links[node * 2 + 1]
        for (let t = first; t < end; t++) triangles.search(t, cell)
      }
    }
    const attained = triangles.best < cap
    this.value = attained ? triangles.best : Infinity
    this.certified = Math.max(Math.min(triangles.best - epsilon, gaveUp, triangles.gaveUp), deepest) - roundingAllowance
    this.triangle = triangles.bestTriangle
    this.time = triangles.bestTime
    if (attained) this.point.set(triangles.bestPoint)
  }

  /** Cells the last search looked at. */
  get work(): number {
    return this.#triangles.work
  }

  /**
   * Bounds both cells and pushes those worth a look, the likelier one on top: the bounds of large nodes
   * lie far below what is in them, so the value at the centre has a say too. Without it the first
   * triangles found are far from the nearest, and the search takes a third longer.
   */
  #pushPair(nodeA: number, cellA: number, nodeB: number, cellB: number, epsilon: number): void {
    const limit = this.#triangles.best - epsilon
    const a = this.#bound(nodeA, cellA, limit)
    const splitA = this.#timeIsLoose, centreA = this.#atCentre
    const b = this.#bound(nodeB, cellB, limit)
    const splitB = this.#timeIsLoose
    if (a + centreA < b + this.#atCentre) {
      if (b < limit) this.#pushWith(nodeB, cellB, b, splitB)
      if (a < limit) this.#pushWith(nodeA, cellA, a, splitA)
    } else {
      if (a < limit) this.#pushWith(nodeA, cellA, a, splitA)
      if (b < limit) this.#pushWith(nodeB, cellB, b, splitB)
    }
  }

  /** The whole tree over the time cells that cover [from, 1]. */
  #pushRoots(from: number, limit: number): void {
    let cell = 1
    // Halves that lie wholly behind `from` are taken whole; the one that holds it is cut on.
    while (from > cellMiddle[cell] - cellHalf[cell] && cell < coarsestLeft) {
      const later = cell * 2 + 1
      if (from < cellMiddle[cell]) {
        this.#pushRoot(later, limit)
        cell *= 2
      } else cell = later
    }
    this.#pushRoot(cell, limit)
  }

  #pushRoot(cell: number, limit: number): void {
    const bound = this.#bound(0, cell, limit)
    if (bound < limit) this.#pushWith(0, cell, bound, this.#timeIsLoose)
  }

  #pushWith(node: number, cell: number, bound: number, split: boolean): void {
    const i = this.#top++
    if (i === this.#nodeStack.length) this.#grow()
    this.#nodeStack[i] = node
    this.#timeStack[i] = cell
    this.#boundStack[i] = bound
    this.#splitStack[i] = split ? 1 : 0
  }

  #grow(): void {
    const size = this.#nodeStack.length * 2
    const enlarge = <T extends Int32Array | Float64Array | Uint8Array>(old: T, next: T): T => {
      next.set(old)
      return next
    }
    this.#nodeStack = enlarge(this.#nodeStack, new Int32Array(size))
    this.#timeStack = enlarge(this.#timeStack, new Int32Array(size))
    this.#boundStack = enlarge(this.#boundStack, new Float64Array(size))
    this.#splitStack = enlarge(this.#splitStack, new Uint8Array(size))
  }

  /**
   * Where the node lies wholly in front of a ball at the tip, f is the distance to the ball's centre
   * less its radius. The node's disc is a convex set, so its distance to a point is convex, and the
   * tangent at the centre's place in mid-cell bounds it over the centre's whole way. Unlike the
   * tangent plane of f this knows that the ball curves away from the disc.
   */
  #ballBound(ball: BallTip, n: number, poses: Float64Array, p: number, half: number, r: number, height: number, stray: number): number {
    const above = height - ball.height
    if (r * ball.lastNormalH - above * ball.lastNormalR < stray) return -Infinity
    const nodes = this.#tree.nodes, motion = this.#motion
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5], h = ball.height
    // The ball's centre relative to the node's, along the disc's normal and beside it.
    const qx = poses[p] + h * ax - nodes[n], qy = poses[p + 1] + h * ay - nodes[n + 1], qz = poses[p + 2] + h * az - nodes[n + 2]
    const nx = nodes[n + 7], ny = nodes[n + 8], nz = nodes[n + 9]
    const along = qx * nx + qy * ny + qz * nz
    const sx = qx - along * nx, sy = qy - along * ny, sz = qz - along * nz
    const beside = Math.sqrt(sx * sx + sy * sy + sz * sz)
    const over = along - nodes[n + 10]
    const gap = Math.max(0, Math.abs(over) - nodes[n + 11]), side = Math.max(0, beside - nodes[n + 12])
    const distance = Math.sqrt(gap * gap + side * side)
    if (distance <= 0) return -Infinity
    const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
    const vx = poses[p + 6] + h * (wy * az - wz * ay)
    const vy = poses[p + 7] + h * (wz * ax - wx * az)
    const vz = poses[p + 8] + h * (wx * ay - wy * ax)
    const up = gap / distance * Math.sign(over), out = beside > 0 ? side / distance / beside : 0
    const slope = up * (nx * vx + ny * vy + nz * vz) + out * (sx * vx + sy * vy + sz * vz)
    const bend = motion.acceleration + (motion.turnRate + motion.turn * motion.turn) * Math.abs(h)
    // The normal is rounded to float32: what that can do to a length is taken off.
    return distance - ball.radius - Math.abs(slope) * half - 0.5 * half * half * bend - 4e-7 * (Math.abs(along) + beside)
  }

  /** Lower bound of f over the node and the time cell; any bound at or above `limit` will do. */
  #bound(node: number, cell: number, limit: number): number {
    const nodes = this.#tree.nodes, n = node * NODE_STRIDE
    const poses = this.#cells.pose(cell), p = cell * POSE_STRIDE
    const half = cellHalf[cell], motion = this.#motion
    // Centre of the node relative to the tool point, then along and across the axis.
    const ux = nodes[n] - poses[p], uy = nodes[n + 1] - poses[p + 1], uz = nodes[n + 2] - poses[p + 2]
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5]
    const height = ux * ax + uy * ay + uz * az
    const square = ux * ux + uy * uy + uz * uz
    const across = square - height * height
    const r = across > 0 ? Math.sqrt(across) : 0
    const piece = this.#piece
    const f = piece.at(r, height)
    this.#atCentre = f
    const radius = nodes[n + 6], distance = Math.sqrt(square)
    this.#timeIsLoose = false
    // f changes no faster than the point moves: enough to drop what is far away.
    const drift = (motion.speed + motion.turn * (distance + motion.speed * half + radius)) * half
    if (f - radius - drift >= limit) return f - radius - drift
    const gr = piece.gr, gh = piece.gh
    const radial = r > 0 ? gr / r : 0
    let gx = radial * (ux - height * ax) + gh * ax
    let gy = radial * (uy - height * ay) + gh * ay
    let gz = radial * (uz - height * az) + gh * az
    if (r === 0 && gr !== 0) {
      // On the axis any radial direction gives a tangent; take one across the axis.
      const sx = Math.abs(ax) < 0.6 ? 1 : 0, sy = 1 - sx
      const along = sx * ax + sy * ay
      const ex = sx - along * ax, ey = sy - along * ay, ez = -along * az
      const scale = gr / Math.sqrt(ex * ex + ey * ey + ez * ez)
      gx += ex * scale
      gy += ey * scale
      gz += ez * scale
    }
    // How far the bound may lie below the truth because the node has extent; the disc's offset is no looseness.
    let space = Math.abs(gx) * nodes[n + 3] + Math.abs(gy) * nodes[n + 4] + Math.abs(gz) * nodes[n + 5]
    let loose = space
    const disc = nodes[n + 12]
    if (disc >= 0) {
      const facing = gx * nodes[n + 7] + gy * nodes[n + 8] + gz * nodes[n + 9]
      const beside = 1 - facing * facing
      const extent = Math.abs(facing) * nodes[n + 11] + (beside > 0 ? Math.sqrt(beside) : 0) * disc + 1e-7 * disc
      const flat = extent - facing * nodes[n + 10]
      if (flat < space) space = flat
      if (extent < loose) loose = extent
      if (piece.ball !== undefined && node > 0) {
        const bound = this.#ballBound(piece.ball, n, poses, p, half, r, height, radius + drift)
        if (bound >= limit) return bound
      }
    }
    const vx = poses[p + 6], vy = poses[p + 7], vz = poses[p + 8]
    let time = 0
    if (motion.turn === 0) {
      time = Math.abs(gx * vx + gy * vy + gz * vz) * half + 0.5 * half * half * motion.accelerationAlong(gx, gy, gz)
    } else {
      const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
      const slope = gx * (vx + wy * uz - wz * uy) + gy * (vy + wz * ux - wx * uz) + gz * (vz + wx * uy - wy * ux)
      const bend = motion.acceleration + 2 * motion.turn * motion.speed
        + (motion.turnRate + motion.turn * motion.turn) * (distance + motion.speed * half)
      time = Math.abs(slope) * half + motion.turn * half * radius + 0.5 * half * half * bend
    }
    this.#timeIsLoose = time > loose && cell < firstUncuttable
    return f - space - time
  }
}
