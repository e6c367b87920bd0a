import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { PieceDistance } from '../geometry/piece-distance.ts'
import { SegmentTriangle } from '../geometry/segment-triangle.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import { TwoTangents } from './two-tangents.ts'
import { writePose, type PoseCells } from './pose-cells.ts'
import { cellHalf, cellMiddle, POSE_STRIDE } from './time-cells.ts'

/** Cuts of one triangle and time cell before the search of it gives up, with what it has proven said. */
export const cutLimit = 2000

/** Looks for a better moment and point before a cell is cut. */
const refinements = 3

/** Below this share of the radial direction in the gradient the piece is flat there: its tangent plane serves instead of a sphere. */
const flatFace = 1e-3

/** Numbers of one sub-cell: 9 of the triangle, first and last time. */
const CELL = 11

/**
 * The smallest signed distance of the piece to one triangle over one time cell, certified to epsilon
 * below the best value found so far in the whole search.
 *
 * For a point x and a moment t of the cell, with y the place of x in the tool frame (see
 * ComponentSearch), convexity gives for every other point and moment of the cell
 *   f ≥ f(x, t) + min g·(corner − x) + min q (t′ − t) − |Ω| T D − ½ T² sup|y″|,   q = −g·(V + Ω × u),
 * T the longest time from t, D the farthest corner from x. At the minimum of f over the cell both
 * minima are nil, so the bound closes there: the point is found as the closest one of the triangle
 * to the sphere that touches the piece from inside, swept through the cell's time; near a ridge of f
 * by two tangents at once.
 */
export class TriangleSearch {
  /** Best value attained in the whole search; starts at the cap. */
  best = Infinity
  bestTriangle = -1
  bestTime = 0
  readonly bestPoint = new Float64Array(3)
  /** Smallest bound of a cell that was given up; Infinity when none was. */
  gaveUp = Infinity
  /** Cells looked at since the start. */
  work = 0

  readonly #tree: MeshTree
  readonly #piece: PieceDistance
  readonly #motion: MotionPose
  readonly #cells: PoseCells
  readonly #exact = new Float64Array(POSE_STRIDE)
  // The pose of the last evaluation: these numbers from this place.
  #poses: Float64Array = this.#exact
  #pose = 0
  readonly #pair = new SegmentTriangle()
  readonly #two = new TwoTangents()
  #epsilon = 0
  #stack = new Float64Array(CELL * 64)
  // The last evaluation: place, value, tangent.
  #f = 0
  #gx = 0; #gy = 0; #gz = 0
  #slope = 0
  #reach = 0

  constructor(tree: MeshTree, piece: PieceDistance, motion: MotionPose, cells: PoseCells) {
    this.#cells = cells
    this.#tree = tree
    this.#piece = piece
    this.#motion = motion
  }

  start(cap: number, epsilon: number): void {
    this.best = cap
    this.bestTriangle = -1
    this.gaveUp = Infinity
    this.work = 0
    this.#epsilon = epsilon
  }

  /** Searches triangle `triangle` over time cell `cell`. */
  search(triangle: number, cell: number): void {
    const corners = this.#tree.corners, middle = cellMiddle[cell], half = cellHalf[cell]
    const rest = this.#lowerBound(corners, triangle * 9, middle - half, middle + half, triangle, cell)
    if (rest >= this.best - this.#epsilon) return
    this.#cut(triangle, middle - half, middle + half)
  }

  /** The cell did not close at once: cuts it in time or space until every part does. */
  #cut(triangle: number, from: number, to: number): void {
    let stack = this.#stack, top = 0, cuts = 0
    stack.set(this.#tree.corners.subarray(triangle * 9, triangle * 9 + 9), 0)
    stack[9] = from
    stack[10] = to
    top = CELL
    let first = true
    while (top > 0) {
      top -= CELL
      // The first cell has just been bounded; #spaceIsLoose speaks of it.
      const bound = first ? -Infinity : this.#lowerBound(stack, top, stack[top + 9], stack[top + 10], triangle, 0)
      first = false
      if (bound >= this.best - this.#epsilon) continue
      if (++cuts > cutLimit) {
        this.gaveUp = Math.min(this.gaveUp, Number.isFinite(bound) ? bound : this.best - this.#spaceLoose - this.#timeLoose)
        continue
      }
      if (top + CELL * 2 > stack.length) {
        const larger = new Float64Array(stack.length * 2)
        larger.set(stack)
        this.#stack = stack = larger
      }
      const next = top + CELL
      stack.copyWithin(next, top, next)
      if (this.#timeLoose > this.#spaceLoose) {
        const half = (stack[top + 9] + stack[top + 10]) / 2
        stack[top + 10] = half
        stack[next + 9] = half
      } else halveLongestEdge(stack, top, next)
      top += 2 * CELL
    }
  }

  #spaceLoose = 0
  #timeLoose = 0

  /** Certified lower bound over the triangle at `at` and [from, to], which is time cell `cell` if that is not 0; improves `best` on the way. */
  #lowerBound(c: Float64Array, at: number, from: number, to: number, triangle: number, cell: number): number {
    const limitAt = this.#epsilon
    let x = (c[at] + c[at + 3] + c[at + 6]) / 3
    let y = (c[at + 1] + c[at + 4] + c[at + 7]) / 3
    let z = (c[at + 2] + c[at + 5] + c[at + 8]) / 3
    let t = (from + to) / 2
    let bound = -Infinity
    this.work++
    for (let round = 0; ; round++) {
      this.#takePose(t, round === 0 ? cell : 0)
      this.#evaluate(x, y, z)
      if (this.#f < this.best) {
        this.best = this.#f
        this.bestTriangle = triangle
        this.bestTime = t
        this.bestPoint[0] = x
        this.bestPoint[1] = y
        this.bestPoint[2] = z
      }
      const lower = this.#tangentBound(c, at, x, y, z, t, from, to)
      if (lower > bound) bound = lower
      if (bound >= this.best - limitAt || round === refinements) return bound
      const both = this.#ridgeBound(c, at, x, y, z, t, from, to)
      if (both === undefined) this.#closer(c, at, x, y, z, t, from, to)
      else if (both > bound) {
        bound = both
        if (bound >= this.best - limitAt) return bound
      }
      const pair = this.#pair
      const moment = from + pair.s * (to - from)
      if (pair.x === x && pair.y === y && pair.z === z && moment === t) return bound
      x = pair.x
      y = pair.y
      z = pair.z
      t = moment
    }
  }

  /** The pose at t; time cell `cell`'s own where that is not 0, which others have asked for too. */
  #takePose(t: number, cell: number): void {
    if (cell !== 0) {
      this.#poses = this.#cells.pose(cell)
      this.#pose = cell * POSE_STRIDE
      return
    }
    this.#motion.at(t)
    writePose(this.#motion, this.#exact, 0)
    this.#poses = this.#exact
    this.#pose = 0
  }

  /** Value and tangent at a point of the part, the pose having been taken. */
  #evaluate(x: number, y: number, z: number): void {
    const poses = this.#poses, p = this.#pose
    const ux = x - poses[p], uy = y - poses[p + 1], uz = z - poses[p + 2]
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5]
    const height = ux * ax + uy * ay + uz * az
    const square = ux * ux + uy * uy + uz * uz, across = square - height * height
    const r = across > 0 ? Math.sqrt(across) : 0
    this.#f = this.#piece.at(r, height)
    const gr = this.#piece.gr, gh = this.#piece.gh
    let ex: number, ey: number, ez: number
    if (r > 1e-12) {
      ex = (ux - height * ax) / r
      ey = (uy - height * ay) / r
      ez = (uz - height * az) / r
    } else {
      const sx = Math.abs(ax) < 0.6 ? 1 : 0, sy = 1 - sx
      const along = sx * ax + sy * ay, length = Math.sqrt(1 - along * along)
      ex = (sx - along * ax) / length
      ey = (sy - along * ay) / length
      ez = -along * az / length
    }
    this.#gx = gr * ex + gh * ax
    this.#gy = gr * ey + gh * ay
    this.#gz = gr * ez + gh * az
    this.#ex = ex
    this.#ey = ey
    this.#ez = ez
    this.#r = r
    this.#height = height
    this.#slope = this.#slopeAlong(this.#gx, this.#gy, this.#gz, x, y, z)
    this.#reach = Math.sqrt(square)
    // Height on the axis of the sphere that touches the piece from inside at the nearest point.
    this.#axial = height - (Math.abs(gr) > flatFace ? r * gh / gr : 0)
    this.#flat = Math.abs(gr) <= flatFace
  }

  /** How fast the distance along a gradient changes in time at a point, in the pose taken. */
  #slopeAlong(gx: number, gy: number, gz: number, x: number, y: number, z: number): number {
    const poses = this.#poses, p = this.#pose
    const ux = x - poses[p], uy = y - poses[p + 1], uz = z - poses[p + 2]
    const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
    return -(gx * (poses[p + 6] + wy * uz - wz * uy) + gy * (poses[p + 7] + wz * ux - wx * uz) + gz * (poses[p + 8] + wx * uy - wy * ux))
  }

  #ex = 0; #ey = 0; #ez = 0
  #r = 0
  #height = 0
  #axial = 0
  #flat = false

  #tangentBound(c: Float64Array, at: number, x: number, y: number, z: number, t: number, from: number, to: number): number {
    const gx = this.#gx, gy = this.#gy, gz = this.#gz, m = this.#motion
    let lowest = Infinity, farthest = 0
    for (let k = at; k < at + 9; k += 3) {
      const dx = c[k] - x, dy = c[k + 1] - y, dz = c[k + 2] - z
      const along = gx * dx + gy * dy + gz * dz
      if (along < lowest) lowest = along
      const square = dx * dx + dy * dy + dz * dz
      if (square > farthest) farthest = square
    }
    const before = t - from, after = to - t
    const longest = before > after ? before : after
    const drop = this.#slope > 0 ? this.#slope * before : -this.#slope * after
    const spread = Math.sqrt(farthest)
    const bend = 2 * m.turn * m.speed + (m.turnRate + m.turn * m.turn) * (this.#reach + m.speed * longest)
    this.#halfSquare = 0.5 * longest * longest
    this.#spaceLoose = -lowest
    this.#turned = m.turn * longest * spread + this.#halfSquare * bend
    this.#timeLoose = drop + this.#turned + this.#halfSquare * m.accelerationAlong(gx, gy, gz)
    return this.#f + lowest - this.#timeLoose
  }

  /** What any tangent leaves out of the turning over the last cell, and half the square of its longest time. */
  #turned = 0
  #halfSquare = 0

  /**
   * Near a ridge of f the bound by two tangents, after `#tangentBound`; undefined where no second
   * tangent comes near within the cell. The point and moment where both are least go into #pair.
   */
  #ridgeBound(c: Float64Array, at: number, x: number, y: number, z: number, t: number, from: number, to: number): number | undefined {
    // Outside, and farther than the cell can reach in, f has no ridge.
    if (this.#f > this.#spaceLoose + this.#timeLoose) return undefined
    const second = this.#piece.next(this.#r, this.#height)
    if (this.#f - second > this.#spaceLoose + this.#timeLoose) return undefined
    const gr = this.#piece.gr, gh = this.#piece.gh, poses = this.#poses, p = this.#pose
    const gx = gr * this.#ex + gh * poses[p + 3], gy = gr * this.#ey + gh * poses[p + 4], gz = gr * this.#ez + gh * poses[p + 5]
    const slope = this.#slopeAlong(gx, gy, gz, x, y, z)
    const ownBend = this.#halfSquare * this.#motion.accelerationAlong(this.#gx, this.#gy, this.#gz)
    const otherBend = this.#halfSquare * this.#motion.accelerationAlong(gx, gy, gz)
    const { a, b } = this.#two
    for (let k = 0; k < 3; k++) {
      const dx = c[at + 3 * k] - x, dy = c[at + 3 * k + 1] - y, dz = c[at + 3 * k + 2] - z
      const one = this.#f - ownBend + this.#gx * dx + this.#gy * dy + this.#gz * dz
      const other = second - otherBend + gx * dx + gy * dy + gz * dz
      a[k] = one + this.#slope * (from - t)
      a[3 + k] = one + this.#slope * (to - t)
      b[k] = other + slope * (from - t)
      b[3 + k] = other + slope * (to - t)
    }
    const bound = this.#two.least() - this.#turned
    const pair = this.#pair, { first, second: last, share } = this.#two
    const f = at + 3 * (first % 3), l = at + 3 * (last % 3)
    pair.x = share * c[f] + (1 - share) * c[l]
    pair.y = share * c[f + 1] + (1 - share) * c[l + 1]
    pair.z = share * c[f + 2] + (1 - share) * c[l + 2]
    pair.s = share * (first < 3 ? 0 : 1) + (1 - share) * (last < 3 ? 0 : 1)
    return bound
  }

  /** Finds, into #pair, a point and moment at least as good as the one just evaluated. */
  #closer(c: Float64Array, at: number, x: number, y: number, z: number, t: number, from: number, to: number): void {
    const pair = this.#pair
    if (this.#flat) {
      // The piece is flat here: its tangent plane meets the triangle first at a corner, earliest or latest.
      let lowest = Infinity
      for (let k = at; k < at + 9; k += 3) {
        const along = this.#gx * (c[k] - x) + this.#gy * (c[k + 1] - y) + this.#gz * (c[k + 2] - z)
        if (along >= lowest) continue
        lowest = along
        pair.x = c[k]
        pair.y = c[k + 1]
        pair.z = c[k + 2]
      }
      if (lowest > -1e-12) {
        pair.x = x
        pair.y = y
        pair.z = z
      }
      const place = this.#slope > 0 ? 0 : this.#slope < 0 ? 1 : (t - from) / (to - from)
      pair.s = place
      return
    }
    // The touching sphere's centre moves with the axis; its path over the cell is taken as straight.
    const h = this.#axial, poses = this.#poses, p = this.#pose
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5]
    const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
    const sx = poses[p] + h * ax, sy = poses[p + 1] + h * ay, sz = poses[p + 2] + h * az
    const dx = poses[p + 6] + h * (wy * az - wz * ay)
    const dy = poses[p + 7] + h * (wz * ax - wx * az)
    const dz = poses[p + 8] + h * (wx * ay - wy * ax)
    const back = from - t, span = to - from
    pair.closest(c, at, sx + dx * back, sy + dy * back, sz + dz * back, dx * span, dy * span, dz * span)
  }
}

/** Halves the longest edge of the triangle at `a`; the halves stand at `a` and `b` (a copy of `a`). */
function halveLongestEdge(c: Float64Array, a: number, b: number): void {
  let longest = -1, from = 0, to = 3
  for (let k = 0; k < 9; k += 3) {
    const n = (k + 3) % 9
    const square = (c[a + k] - c[a + n]) ** 2 + (c[a + k + 1] - c[a + n + 1]) ** 2 + (c[a + k + 2] - c[a + n + 2]) ** 2
    if (square <= longest) continue
    longest = square
    from = k
    to = n
  }
  for (let k = 0; k < 3; k++) {
    const middle = (c[a + from + k] + c[a + to + k]) / 2
    c[a + to + k] = middle
    c[b + from + k] = middle
  }
}
