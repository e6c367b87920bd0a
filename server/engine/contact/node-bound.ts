import type { MotionPose } from '../../../shared/motion-pose.ts'
import type { PieceDistance } from '../geometry/piece-distance.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import { NODE_STRIDE } from '../mesh/tree-nodes.ts'
import type { PoseCells } from './pose-cells.ts'
import { cellHalf, firstUncuttable, POSE_STRIDE } from './time-cells.ts'

/** Places in `NodeBound.numbers`. */
export const LIMIT = 0, BOUND = 1, CENTRE = 2

/** Places in the numbers of the motion in hand; see `NodeBound.begin`. */
const SPEED = 0, TURN = 1, BEND = 2, BEND_BY_REACH = 3, BALL_BEND = 4

/** Share of a node's radius: a disc whose plane lies farther from the centre is far off it. */
const farOff = 0.1

/** Time cells from this number on are 64 parts of the motion: what is loose still is not so because of time. */
const finelyCut = 64

/**
 * The lower bound of a piece's signed distance over (tree node) × (time cell): the heart of the search, where most of its time
 * goes. Numbers come and go in `numbers`, since a floating-point number handed to a function or back costs an allocation;
 * what does not change during a motion is worked out in `begin`.
 */
export class NodeBound {
  /** At LIMIT goes in: any bound at or above it will do. At BOUND comes out the bound, at CENTRE f at the node's centre in mid-cell. */
  readonly numbers = new Float64Array(3)
  /** Comes out: whether halving time promises more than opening the node. */
  timeIsLoose = false

  readonly #nodes: Float32Array
  readonly #lines: Float64Array
  readonly #arcs: Float64Array
  readonly #hasBall: boolean
  /** Of the ball at the tip: height, radius, last normal. */
  readonly #ball: Float64Array
  readonly #cells: PoseCells
  readonly #motion: MotionPose
  readonly #moving = new Float64Array(5)

  constructor(tree: MeshTree, piece: PieceDistance, motion: MotionPose, cells: PoseCells) {
    this.#nodes = tree.nodes
    this.#lines = piece.lines
    this.#arcs = piece.arcs
    const { ball } = piece
    this.#hasBall = ball !== undefined
    this.#ball = Float64Array.of(ball?.height ?? 0, ball?.radius ?? 0, ball?.lastNormalR ?? 0, ball?.lastNormalH ?? 0)
    this.#cells = cells
    this.#motion = motion
  }

  /** Takes the motion in hand. */
  begin(): void {
    const { speed, turn, turnRate, acceleration } = this.#motion, moving = this.#moving
    const byReach = turnRate + turn * turn
    moving[SPEED] = speed
    moving[TURN] = turn
    moving[BEND] = acceleration + 2 * turn * speed
    moving[BEND_BY_REACH] = byReach
    moving[BALL_BEND] = acceleration + byReach * Math.abs(this.#ball[0])
  }

  /** Bounds f from below over the node and the time cell. */
  over(node: number, cell: number): void {
    const nodes = this.#nodes, n = node * NODE_STRIDE, numbers = this.numbers, moving = this.#moving
    const poses = this.#cells.pose(cell), p = cell * POSE_STRIDE
    const half = cellHalf[cell], limit = numbers[LIMIT], speed = moving[SPEED], turn = moving[TURN]
    // Centre of the node relative to the tool point, then along and across the axis.
    const ux = nodes[n] - poses[p], uy = nodes[n + 1] - poses[p + 1], uz = nodes[n + 2] - poses[p + 2]
    const ax = poses[p + 3], ay = poses[p + 4], az = poses[p + 5]
    const height = ux * ax + uy * ay + uz * az
    const square = ux * ux + uy * uy + uz * uz
    const across = square - height * height
    const r = across > 0 ? Math.sqrt(across) : 0
    // f and its gradient in the half-plane of radius and height, as `PieceDistance.at` has them.
    let f = -Infinity, gr = 0, gh = 1
    const lines = this.#lines, arcs = this.#arcs
    for (let i = 0; i < lines.length; i += 3) {
      const s = lines[i] * r + lines[i + 1] * height - lines[i + 2]
      if (s > f) {
        f = s
        gr = lines[i]
        gh = lines[i + 1]
      }
    }
    for (let i = 0; i < arcs.length; i += 7) {
      const dr = r - arcs[i], dh = height - arcs[i + 1]
      const slack = -1e-12 * (Math.abs(dr) + Math.abs(dh))
      if (arcs[i + 3] * dh - arcs[i + 4] * dr < slack || dr * arcs[i + 6] - dh * arcs[i + 5] < slack) continue
      const distance = Math.sqrt(dr * dr + dh * dh)
      const s = distance - arcs[i + 2]
      if (s < f) continue
      f = s
      gr = distance > 0 ? dr / distance : arcs[i + 3]
      gh = distance > 0 ? dh / distance : arcs[i + 4]
    }
    numbers[CENTRE] = f
    this.timeIsLoose = false
    // f changes no faster than the point moves: enough to drop what is far away.
    const radius = nodes[n + 6], distance = Math.sqrt(square)
    const drift = (speed + turn * (distance + speed * half + radius)) * half
    if (f - radius - drift >= limit) {
      numbers[BOUND] = f - radius - drift
      return
    }
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
    // How far the bound may lie below the truth because the node has extent. The disc's offset is no looseness, unless it is large
    // and time has been cut for a while: the tangent is taken far off the facets, of which it says little at any time.
    let space = Math.abs(gx) * nodes[n + 3] + Math.abs(gy) * nodes[n + 4] + Math.abs(gz) * nodes[n + 5]
    let loose = space
    const disc = nodes[n + 12]
    if (disc >= 0) {
      const nx = nodes[n + 7], ny = nodes[n + 8], nz = nodes[n + 9], offset = nodes[n + 10], thickness = nodes[n + 11]
      const facing = gx * nx + gy * ny + gz * nz
      const beside = 1 - facing * facing
      const extent = Math.abs(facing) * thickness + (beside > 0 ? Math.sqrt(beside) : 0) * disc + 1e-7 * disc
      const flat = extent - facing * offset
      if (flat < space) space = flat
      const off = Math.abs(offset)
      if (off > farOff * radius && cell >= finelyCut) loose = Math.min(loose, off)
      else if (extent < loose) loose = extent
      const ball = this.#ball, h = ball[0]
      if (this.#hasBall && node > 0 && r * ball[3] - (height - h) * ball[2] >= radius + drift) {
        // Where the node lies wholly in front of a ball at the tip, f is the distance to the ball's centre
        // less its radius. The node's disc is a convex set, so its distance to a point is convex, and the
        // tangent at the centre's place in mid-cell bounds it over the centre's whole way. Unlike the
        // tangent plane of f this knows that the ball curves away from the disc.
        const qx = h * ax - ux, qy = h * ay - uy, qz = h * az - uz
        const along = qx * nx + qy * ny + qz * nz
        const sx = qx - along * nx, sy = qy - along * ny, sz = qz - along * nz
        const aside = Math.sqrt(sx * sx + sy * sy + sz * sz)
        const over = along - offset
        const gap = Math.max(0, Math.abs(over) - thickness), side = Math.max(0, aside - disc)
        const away = Math.sqrt(gap * gap + side * side)
        if (away > 0) {
          const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
          const vx = poses[p + 6] + h * (wy * az - wz * ay)
          const vy = poses[p + 7] + h * (wz * ax - wx * az)
          const vz = poses[p + 8] + h * (wx * ay - wy * ax)
          const up = over < 0 ? -gap / away : gap / away, out = aside > 0 ? side / away / aside : 0
          const slope = up * (nx * vx + ny * vy + nz * vz) + out * (sx * vx + sy * vy + sz * vz)
          // The normal is rounded to float32: what that can do to a length is taken off.
          const bound = away - ball[1] - Math.abs(slope) * half - 0.5 * half * half * moving[BALL_BEND] - 4e-7 * (Math.abs(along) + aside)
          if (bound >= limit) {
            numbers[BOUND] = bound
            return
          }
        }
      }
    }
    const vx = poses[p + 6], vy = poses[p + 7], vz = poses[p + 8]
    let time = 0
    if (turn === 0) {
      time = Math.abs(gx * vx + gy * vy + gz * vz) * half + 0.5 * half * half * this.#motion.accelerationAlong(gx, gy, gz)
    } else {
      const wx = poses[p + 9], wy = poses[p + 10], wz = poses[p + 11]
      const slope = gx * (vx + wy * uz - wz * uy) + gy * (vy + wz * ux - wx * uz) + gz * (vz + wx * uy - wy * ux)
      const bend = moving[BEND] + moving[BEND_BY_REACH] * (distance + speed * half)
      time = Math.abs(slope) * half + turn * half * radius + 0.5 * half * half * bend
    }
    this.timeIsLoose = time > loose && cell < firstUncuttable
    numbers[BOUND] = f - space - time
  }
}
