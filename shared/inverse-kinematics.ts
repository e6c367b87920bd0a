import type { Kinematics } from './kinematics.ts'

// The rotary joints that put the tool axis into a direction of the part, in closed form, for any
// chain with at most two rotary axes: on the table, in the head, square to each other or not.
//
// Seen from the part, the axis is exp(e1 q1) exp(e2 q2) z: e1 belongs to the rotary joint next to the
// part, e2 to the one next to the spindle, z is the axis at rest. That is the second subproblem of
// Paden and Kahan (Murray, Li, Sastry: A Mathematical Introduction to Robotic Manipulation, 1994,
// chapter 3). It is solved here by the half-angle formula of the spherical triangle e1, e2, axis,
// which keeps its digits at the singular directions, where an arc cosine loses half of them.

type Range = readonly [number, number] | undefined

/** A rotary joint has no effect on directions nearer than this to its own axis; radians. */
const FREE = 1e-9

/** Room for rounding when a value is held against a range; radians. */
const SLACK = 1e-9

const TURN = 2 * Math.PI

/** Which of the two ways to hold the axis is taken: the nearer one, or that with the tilting joint on one side. */
export type BranchChoice = 'nearest' | 'positive' | 'negative'

/** How the axis was reached. */
export interface AxisAnswer {
  /** Angle between the direction asked for and the nearest the machine can take; 0 where it reaches it, radians. */
  readonly miss: number
  /** Whether every rotary joint stays in its range. */
  readonly withinTravel: boolean
}

export class RotarySolver {
  /** Joint numbers of the rotary axes, from the part to the spindle. */
  readonly order: readonly number[]
  /** False for chains with more than two rotary axes: nothing is solved. */
  readonly supported: boolean

  /** Answers of `solve`: number of ways to hold the axis, 0 to 2, and the values by place in `order`, in (−π, π]. */
  ways = 0
  readonly first = new Float64Array(2)
  readonly second = new Float64Array(2)
  /** The joint at that place has no effect on the axis where it stands: any value does. */
  readonly free: [boolean, boolean] = [false, false]
  /** Angle by which the machine misses the direction asked for, and the direction that it reaches (part frame). */
  miss = 0
  readonly reached = new Float64Array(3)

  readonly #k: Kinematics
  readonly #ranges: readonly Range[]
  readonly #e1 = new Float64Array(3)
  readonly #e2 = new Float64Array(3)
  readonly #z = new Float64Array(3)
  readonly #u = new Float64Array(3)
  readonly #c = new Float64Array(3)
  readonly #inner = new Float64Array(3)
  /** Sides of the triangle: e2 to the axis, e1 to e2; and the turn about e2 that brings the axis nearest to e1. */
  readonly #toAxis: number
  readonly #between: number
  readonly #zero: number
  readonly #wanted = new Float64Array(2)
  readonly #taken = new Float64Array(2)

  /** `ranges`: of every joint, in joint order; undefined where it has no end. */
  constructor(kinematics: Kinematics, ranges: readonly Range[]) {
    this.#k = kinematics
    this.#ranges = ranges
    const table = kinematics.table.filter(link => link.rotary).reverse()
    const head = kinematics.head.filter(link => link.rotary)
    const links = [...table.map(link => ({ joint: link.joint, sign: -1, direction: link.direction })), ...head.map(link => ({ joint: link.joint, sign: 1, direction: link.direction }))]
    this.order = links.map(link => link.joint)
    this.supported = links.length <= 2
    this.#z.set(kinematics.axis)
    const [outer, inner] = links
    for (let n = 0; n < 3; n++) {
      if (outer !== undefined) this.#e1[n] = outer.sign * outer.direction[n]
      if (inner !== undefined) this.#e2[n] = inner.sign * inner.direction[n]
    }
    this.#toAxis = angle(this.#e2, this.#z)
    this.#between = angle(this.#e1, this.#e2)
    this.#zero = turnAbout(this.#e2, this.#z, this.#e1)
  }

  /**
   * The direction of the part in which the joint next to the part has no effect, where the machine can
   * take it: the tool axis along that joint's own axis. Empty where it cannot.
   */
  singularDirections(): number[][] {
    if (this.order.length !== 2) return []
    const { least, most } = this.#reach()
    const found: number[][] = []
    if (least < FREE) found.push(this.#toPart(this.#e1, 1))
    if (most > Math.PI - FREE) found.push(this.#toPart(this.#e1, -1))
    return found
  }

  /**
   * How far the tool axis turns, at the least, when the two rotary joints together turn by one in the
   * worst proportion: the smaller singular value of the axis' rates by the joints'. Nought in every
   * singular direction: along the joint next to the part, and at the end of the reach, where both joints
   * turn the axis the same way. 1 for machines with fewer rotary axes.
   */
  mobility(joints: ArrayLike<number>): number {
    if (this.order.length !== 2) return 1
    const u = this.#c, inner = this.#inner, e = this.#e1, turn = joints[this.order[0]]
    u.set(this.#z)
    rotate(this.#e2, joints[this.order[1]], u)
    rotate(e, turn, u)
    inner.set(this.#e2)
    rotate(e, turn, inner)
    // Rates of the axis for each joint: e × u. Their products are those of the directions, less the parts along u.
    const outerAlong = dot(e, u), innerAlong = dot(inner, u)
    const outer = 1 - outerAlong * outerAlong, own = 1 - innerAlong * innerAlong, common = dot(e, inner) - outerAlong * innerAlong
    const spread = Math.hypot(outer - own, 2 * common)
    return Math.sqrt(Math.max(0, (outer + own - spread) / 2))
  }

  /** All ways to hold the axis in a direction of the part frame; (x, y, z) need not have length one. */
  solve(x: number, y: number, z: number): void {
    this.ways = 0
    this.free[0] = this.free[1] = false
    this.miss = Math.PI
    const length = Math.hypot(x, y, z)
    if (!this.supported || !(length > 0)) return
    const r = this.#k.partRotation, u = this.#u
    for (let n = 0; n < 3; n++) u[n] = (r[n * 3] * x + r[n * 3 + 1] * y + r[n * 3 + 2] * z) / length
    this.ways = 1
    if (this.order.length === 0) this.#finish(this.#z)
    else if (this.order.length === 1) this.#solveOne(this.#z)
    else this.#solveTwo()
  }

  /**
   * Writes the rotary joints of the way that is nearest to how the machine stands, of those within
   * travel if there is one. A joint that turns without end takes the whole turn that is nearest.
   * Values of `joints` that are not known count as nought.
   */
  aim(x: number, y: number, z: number, joints: Float64Array, choice: BranchChoice = 'nearest'): AxisAnswer {
    this.solve(x, y, z)
    let best = Infinity, isBestWithin = false, isBestWanted = false
    for (let way = 0; way < this.ways; way++) {
      const values = way === 0 ? this.first : this.second
      let cost = 0, isWithin = true
      const wanted = this.#wanted
      wanted.fill(0)
      for (let i = 0; i < this.order.length; i++) {
        const joint = this.order[i], now = Number.isNaN(joints[joint]) ? 0 : joints[joint]
        const range = this.#ranges[joint]
        const value = this.free[i] ? clamp(now, range) : nearestTurn(values[i], now, range)
        if (range !== undefined && (value < range[0] - SLACK || value > range[1] + SLACK)) isWithin = false
        cost += Math.abs(value - now)
        wanted[i] = value
      }
      const tilt = values[this.order.length - 1] ?? 0
      const isWanted = choice === 'nearest' || (choice === 'positive' ? tilt >= -SLACK : tilt <= SLACK)
      const isBetter = isWanted !== isBestWanted ? isWanted : isWithin !== isBestWithin ? isWithin : cost < best - SLACK
      if (best !== Infinity && !isBetter) continue
      best = cost
      isBestWithin = isWithin
      isBestWanted = isWanted
      this.#taken.set(wanted)
    }
    if (best === Infinity) return { miss: this.miss, withinTravel: false }
    for (let i = 0; i < this.order.length; i++) joints[this.order[i]] = this.#taken[i]
    return { miss: this.miss, withinTravel: isBestWithin }
  }

  /** Least and greatest angle between e1 and the axis. */
  #reach(): { least: number, most: number } {
    const sum = this.#toAxis + this.#between
    return { least: Math.abs(this.#toAxis - this.#between), most: sum <= Math.PI ? sum : TURN - sum }
  }

  #solveTwo(): void {
    // The inner joint without effect, or both turning about one line, the inner one then left at nought: one axis remains.
    const isIdle = Math.sin(this.#toAxis) < FREE
    if (isIdle || Math.sin(this.#between) < FREE) {
      this.#solveOne(this.#z)
      this.free[1] = isIdle
      return
    }
    const { least, most } = this.#reach()
    const height = Math.min(Math.max(angle(this.#e1, this.#u), least), most)
    const half = (this.#toAxis + this.#between + height) / 2
    const above = Math.sin(half - this.#toAxis) * Math.sin(half - this.#between)
    const below = Math.sin(half) * Math.sin(half - height)
    const turn = 2 * Math.atan2(Math.sqrt(Math.max(0, above)), Math.sqrt(Math.max(0, below)))
    // At both ends of the reach the two ways are one.
    this.ways = turn < FREE || Math.PI - turn < FREE ? 1 : 2
    for (let way = this.ways - 1; way >= 0; way--) {
      const values = way === 0 ? this.first : this.second
      const inner = this.#zero + (way === 0 ? turn : -turn)
      this.#c.set(this.#z)
      rotate(this.#e2, inner, this.#c)
      this.#solveOne(this.#c)
      values[0] = this.first[0]
      values[1] = wrap(inner)
    }
  }

  /** Value of the outermost joint that brings `from` to the direction wanted, or as near as it comes. */
  #solveOne(from: Float64Array): void {
    const e = this.#e1
    this.free[0] = Math.sin(angle(e, from)) < FREE
    const turn = this.free[0] ? 0 : turnAbout(e, from, this.#u)
    this.first[0] = wrap(turn)
    this.first[1] = 0
    this.#c.set(from)
    rotate(e, turn, this.#c)
    this.#finish(this.#c)
  }

  #finish(reached: Float64Array): void {
    this.miss = angle(reached, this.#u)
    const part = this.#toPart(reached, 1)
    for (let n = 0; n < 3; n++) this.reached[n] = part[n]
  }

  #toPart(v: ArrayLike<number>, sign: number): number[] {
    const r = this.#k.partRotation
    return [0, 1, 2].map(n => sign * (r[n] * v[0] + r[n + 3] * v[1] + r[n + 6] * v[2]))
  }
}

/** The value with whole turns added that lies nearest to `now`, within the range if any does; of two as near, the one nearer to nought. */
export function nearestTurn(value: number, now: number, range: Range): number {
  let near = value + TURN * Math.round((now - value) / TURN)
  const across = near + (near > now ? -TURN : TURN)
  if (Math.abs(Math.abs(across - now) - Math.PI) < SLACK && Math.abs(across) < Math.abs(near)) near = across
  if (range === undefined) return near
  let moved = near
  if (moved < range[0] - SLACK) moved += TURN * Math.ceil((range[0] - SLACK - moved) / TURN)
  if (moved > range[1] + SLACK) moved -= TURN * Math.ceil((moved - range[1] - SLACK) / TURN)
  return moved >= range[0] - SLACK ? moved : near
}

function clamp(value: number, range: Range): number {
  return range === undefined ? value : Math.min(Math.max(value, range[0]), range[1])
}

/** Into (−π, π]. */
function wrap(value: number): number {
  const turned = value - TURN * Math.round(value / TURN)
  return turned <= -Math.PI ? turned + TURN : turned
}

function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/** Angle between two unit vectors, exact when it is tiny too. */
function angle(a: ArrayLike<number>, b: ArrayLike<number>): number {
  const x = a[1] * b[2] - a[2] * b[1], y = a[2] * b[0] - a[0] * b[2], z = a[0] * b[1] - a[1] * b[0]
  return Math.atan2(Math.hypot(x, y, z), a[0] * b[0] + a[1] * b[1] + a[2] * b[2])
}

/** Right-hand turn about e that brings the part of `from` square to e into that of `to`. */
function turnAbout(e: ArrayLike<number>, from: ArrayLike<number>, to: ArrayLike<number>): number {
  const ax = e[1] * from[2] - e[2] * from[1], ay = e[2] * from[0] - e[0] * from[2], az = e[0] * from[1] - e[1] * from[0]
  const bx = e[1] * to[2] - e[2] * to[1], by = e[2] * to[0] - e[0] * to[2], bz = e[0] * to[1] - e[1] * to[0]
  const sine = e[0] * (ay * bz - az * by) + e[1] * (az * bx - ax * bz) + e[2] * (ax * by - ay * bx)
  return Math.atan2(sine, ax * bx + ay * by + az * bz)
}

/** Rodrigues' rotation of v about the unit vector e. */
function rotate(e: ArrayLike<number>, by: number, v: Float64Array): void {
  const s = Math.sin(by), k = 1 - Math.cos(by), x = v[0], y = v[1], z = v[2]
  const ax = e[1] * z - e[2] * y, ay = e[2] * x - e[0] * z, az = e[0] * y - e[1] * x
  v[0] += s * ax + k * (e[1] * az - e[2] * ay)
  v[1] += s * ay + k * (e[2] * ax - e[0] * az)
  v[2] += s * az + k * (e[0] * ay - e[1] * ax)
}
