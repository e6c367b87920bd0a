import type { MotionPose } from '../../../shared/motion-pose.ts'
import { PieceDistance } from '../geometry/piece-distance.ts'
import type { ConvexOutline } from '../geometry/convex-outline.ts'
import { roundingAllowance } from '../geometry/tolerance.ts'
import { cellHalf, firstUncuttable, POSE_STRIDE } from '../contact/time-cells.ts'
import type { PoseCells } from '../contact/pose-cells.ts'

/** Time cells looked at for one line and one motion before it is given up: some 100 µs. */
const workLimit = 2_000

/** mm. Steps past a root of the tangent, so that an attained place lies in the cutter and not on its skin. */
const nudge = 1e-6

/** Newton's steps at one moment; two or three suffice where the line does not graze. */
const mostSteps = 24

/** Steps by which the bound of a cell is raised; each one squares what is lacking. */
const boundSteps = 3

/**
 * The lowest point that one convex piece of the cutter reaches on the line p + s n during the motion
 * in hand, without sampling; mm.
 *
 * At one moment f along the line is convex, so the line lies in the piece for s in an interval, and
 * Newton's steps from below come to its lower end without passing it. Over a time cell of half-length τ
 *   f(s, t′) ≥ f + fs (s − s₀) − |ft| τ − ½ τ² Y − Ω τ (s − s₀),   Y as in `contact/component-search.ts`,
 * and the root of the right side is a proven lower bound for the whole cell. Only moments count at which the
 * interval holds a point with s ≥ 0: what lies wholly below the surface is the other side of a wall.
 */
export class LineSearch {
  /** Lowest attained so far; what was given to `run` where nothing lower was found. */
  value = Infinity
  /** Cells that were given up reach no lower than this; Infinity where none was. */
  gaveUp = Infinity

  readonly #piece: PieceDistance
  readonly #excess: number
  readonly #motion: MotionPose
  readonly #cells: PoseCells
  readonly #epsilon: number
  readonly #reach: number
  readonly #stack = new Int32Array(64)
  readonly #bounds = new Float64Array(64)
  #top = 0
  // The line, and its products with the pose in hand.
  #px = 0; #py = 0; #pz = 0; #nx = 0; #ny = 0; #nz = 1
  #un = 0; #uu = 0; #ua = 0; #na = 0; #uv = 0; #nv = 0; #av = 0; #uq = 0; #nq = 0
  #p = 0
  #poses: Float64Array = new Float64Array(0)
  #half = 0
  /** The place evaluated last: f there, its slope along the line, its rate in time, and what it can lose within the cell by the rate and by the bend of the motion. */
  #s = 0; #f = 0; #slope = 0; #rate = 0; #drift = 0; #bend = 0
  #boundAway = 0

  /** `excess`: how far the piece may stand off the described cutter. `reach`: how deep below the line's origin it is looked for. */
  constructor(piece: ConvexOutline, excess: number, motion: MotionPose, cells: PoseCells, epsilon: number, reach: number) {
    this.#piece = new PieceDistance(piece)
    this.#excess = excess
    this.#motion = motion
    this.#cells = cells
    this.#epsilon = epsilon
    this.#reach = reach
  }

  /** Lower bound of f over a box given by centre and half-extents and a time cell. `timeIsLoose` then says whether halving time promises more than opening the box. */
  bound(boxes: Float32Array, at: number, cell: number): number {
    const poses = this.#cells.pose(cell), p = cell * POSE_STRIDE, half = cellHalf[cell], motion = this.#motion
    const ux = boxes[at] - poses[p], uy = boxes[at + 1] - poses[p + 1], uz = boxes[at + 2] - poses[p + 2]
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5]
    const height = ux * ax + uy * ay + uz * az, square = ux * ux + uy * uy + uz * uz
    const across = square - height * height, r = across > 0 ? Math.sqrt(across) : 0
    const piece = this.#piece, f = piece.at(r, height)
    // On the axis the mean of all tangents is one too: it has no radial part.
    const radial = r > 0 ? piece.gr / r : 0, along = piece.gh - radial * height
    const gx = radial * ux + along * ax, gy = radial * uy + along * ay, gz = radial * uz + along * az
    const hx = boxes[at + 3], hy = boxes[at + 4], hz = boxes[at + 5]
    const space = Math.abs(gx) * hx + Math.abs(gy) * hy + Math.abs(gz) * hz
    let slope = gx * poses[p + 6] + gy * poses[p + 7] + gz * poses[p + 8]
    let time = 0
    if (motion.turn === 0) time = 0.5 * half * half * motion.accelerationAlong(gx, gy, gz)
    else {
      const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
      slope += gx * (wy * uz - wz * uy) + gy * (wz * ux - wx * uz) + gz * (wx * uy - wy * ux)
      const radius = Math.sqrt(hx * hx + hy * hy + hz * hz)
      const turning = motion.turnRate + motion.turn * motion.turn
      const bend = motion.acceleration + 2 * motion.turn * motion.speed + turning * (Math.sqrt(square) + motion.speed * half + radius)
      time = motion.turn * half * radius + 0.5 * half * half * bend
    }
    time += Math.abs(slope) * half
    this.timeIsLoose = time > space && cell < firstUncuttable
    return f - space - time
  }

  timeIsLoose = false

  /** Looks along p + s n during a time cell for anything lower than `best`; true where it was found. */
  run(points: Float64Array, normals: Float32Array, at: number, cell: number, best: number): boolean {
    this.#px = points[at]
    this.#py = points[at + 1]
    this.#pz = points[at + 2]
    this.#nx = normals[at]
    this.#ny = normals[at + 1]
    this.#nz = normals[at + 2]
    this.value = best
    this.gaveUp = Infinity
    this.#top = 0
    this.#look(cell)
    for (let work = 0; this.#top > 0; work++) {
      const i = --this.#top
      if (this.#bounds[i] >= this.value - this.#epsilon) continue
      if (work > workLimit) this.gaveUp = Math.min(this.gaveUp, this.#bounds[i])
      else this.#look(this.#stack[i])
    }
    return this.value < best
  }

  /** Bounds a cell, tries the moment in its middle, and leaves those halves on the stack that may reach lower. */
  #look(cell: number): void {
    const bound = this.#boundOf(cell) - roundingAllowance
    if (bound >= this.value - this.#epsilon) return
    if (cell >= firstUncuttable) {
      this.gaveUp = Math.min(this.gaveUp, bound)
      return
    }
    // In one half the piece draws away from the line, but for what its motion bends: there is less to lose.
    const away = Math.max(bound, this.#boundAway - roundingAllowance), later = this.#rate > 0 ? 1 : 0
    this.#push(cell * 2 + later, away)
    this.#push(cell * 2 + 1 - later, bound)
  }

  #push(cell: number, bound: number): void {
    if (bound >= this.value - this.#epsilon) return
    this.#stack[this.#top] = cell
    this.#bounds[this.#top++] = bound
  }

  /** Proven lower bound of what the piece reaches in the cell; `#boundAway`: in the half in which f grows. */
  #boundOf(cell: number): number {
    const limit = this.value - this.#epsilon
    this.#take(cell)
    this.#evaluate(0)
    const spin = this.#spin(), atSurface = this.#f + this.#excess
    const margin = this.#f - this.#drift - this.#bend
    // The tangent lies below f on both sides of its root: it bounds how far down the piece goes as well.
    const fall = margin > 0 ? spin - this.#slope : -spin - this.#slope
    if (margin > 0 && fall <= 0) return Infinity
    let s = fall > 0 ? Math.max(-this.#reach, margin / fall) : -this.#reach
    if (s >= limit) return s
    for (let step = 0; step < boundSteps; step++) {
      this.#evaluate(s)
      const over = this.#f - this.#drift - this.#bend
      if (over <= 0) break
      if (spin <= this.#slope) return Infinity
      const up = over / (spin - this.#slope)
      if (s + up >= limit) return s + up
      if (up < this.#epsilon / 8) break
      s += up
    }
    if (this.#s !== s) this.#evaluate(s)
    const over = this.#f - this.#bend
    this.#boundAway = over <= 0 ? s : spin <= this.#slope ? Infinity : s + over / (spin - this.#slope)
    this.#attain(atSurface > 0 ? Math.max(s, 0) : s)
    return s
  }

  /** How fast the tangent in s can tilt within the cell, per mm. */
  #spin(): number {
    const { turn, turnRate } = this.#motion
    return turn === 0 ? 0 : turn * this.#half + 0.5 * this.#half * this.#half * (turnRate + turn * turn)
  }

  /** Newton's steps at the cell's middle, from a place that is not above the piece's lower end. */
  #attain(from: number): void {
    let s = from
    const rate = this.#rate
    for (let step = 0; step < mostSteps && s < this.value; step++) {
      if (this.#s !== s) this.#evaluate(s)
      const f = this.#f + this.#excess
      // A line along the cutter's very skin is as good as in it: rounding must not decide.
      if (f <= roundingAllowance) {
        this.value = s
        break
      }
      if (this.#slope >= 0) break
      s += f / -this.#slope + nudge
    }
    this.#rate = rate
  }

  /** Takes the pose in the middle of a cell, and the line's products with it. */
  #take(cell: number): void {
    const poses = this.#cells.pose(cell), p = cell * POSE_STRIDE
    this.#poses = poses
    this.#p = p
    this.#half = cellHalf[cell]
    const ux = this.#px - poses[p], uy = this.#py - poses[p + 1], uz = this.#pz - poses[p + 2]
    const nx = this.#nx, ny = this.#ny, nz = this.#nz
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5], vx = poses[p + 6], vy = poses[p + 7], vz = poses[p + 8]
    this.#un = ux * nx + uy * ny + uz * nz
    this.#uu = ux * ux + uy * uy + uz * uz
    this.#ua = ux * ax + uy * ay + uz * az
    this.#na = nx * ax + ny * ay + nz * az
    this.#uv = ux * vx + uy * vy + uz * vz
    this.#nv = nx * vx + ny * vy + nz * vz
    this.#av = ax * vx + ay * vy + az * vz
    if (this.#motion.turn === 0) {
      this.#uq = this.#nq = 0
      return
    }
    // Ω × u seen along a tangent that lies in the plane of u and a comes down to u · (a × Ω).
    const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
    const qx = ay * wz - az * wy, qy = az * wx - ax * wz, qz = ax * wy - ay * wx
    this.#uq = ux * qx + uy * qy + uz * qz
    this.#nq = nx * qx + ny * qy + nz * qz
  }

  #evaluate(s: number): void {
    const height = this.#ua + s * this.#na
    const square = this.#uu + s * (2 * this.#un + s)
    const across = square - height * height, r = across > 0 ? Math.sqrt(across) : 0
    const piece = this.#piece, motion = this.#motion, half = this.#half
    this.#s = s
    this.#f = piece.at(r, height)
    const radial = r > 0 ? piece.gr / r : 0, along = piece.gh - radial * height
    this.#slope = radial * (this.#un + s) + along * this.#na
    // f shrinks where the tool point comes nearer.
    this.#rate = -(radial * (this.#uv + s * this.#nv) + along * this.#av + along * (this.#uq + s * this.#nq))
    this.#drift = Math.abs(this.#rate) * half
    this.#bend = 0
    if (motion.turn !== 0) {
      const turning = motion.turnRate + motion.turn * motion.turn
      this.#bend = 0.5 * half * half * (motion.acceleration + 2 * motion.turn * motion.speed + turning * (Math.sqrt(square) + motion.speed * half))
    } else if (motion.acceleration > 0) {
      const poses = this.#poses, p = this.#p
      this.#bend = 0.5 * half * half * motion.accelerationAlong(
        radial * (this.#px + s * this.#nx - poses[p]) + along * poses[p + 3],
        radial * (this.#py + s * this.#ny - poses[p + 1]) + along * poses[p + 4],
        radial * (this.#pz + s * this.#nz - poses[p + 2]) + along * poses[p + 5],
      )
    }
  }
}
