import { applyChain, jointsForToolPoint, machineToPart, type Kinematics } from './kinematics.ts'
import { ARC_STRIDE, MotionKind, type Toolpath } from './toolpath.ts'

/**
 * Where the tool is inside a motion, how it moves there, and how far that can change: the exact
 * pose at any time t in [0, 1] of a line, an arc or a joint move, never a chord of it.
 *
 * Part frame, mm and radians, rates per unit of t. After `begin(i)` the bounds hold for the whole
 * motion; after `at(t)` the pose fields hold for that moment.
 */
export class MotionPose {
  /** Tool point. */
  px = 0; py = 0; pz = 0
  /** Unit tool axis, tip to spindle. */
  ax = 0; ay = 0; az = 1
  /** Velocity of the tool point. */
  vx = 0; vy = 0; vz = 0
  /** Turning of the axis: a × a′, the part of the angular velocity that a body of revolution shows. */
  wx = 0; wy = 0; wz = 0

  /** Upper bounds over the whole motion: |V|, |V′|, |Ω|, |Ω′|. */
  speed = 0; acceleration = 0; turn = 0; turnRate = 0

  /** Unit vector that V′ is square to during the whole motion, as the normal of an arc's plane; nil where there is none. */
  squareX = 0; squareY = 0; squareZ = 0

  readonly #k: Kinematics
  readonly #path: Toolpath
  /** Gauge length by tool index; the last entry serves motions without a tool. */
  readonly #lengths: ArrayLike<number>
  readonly #width: number
  readonly #start: Float64Array
  readonly #delta: Float64Array
  readonly #now: Float64Array
  readonly #rate: Float64Array
  readonly #point = new Float64Array(3)
  readonly #velocity = new Float64Array(3)
  readonly #axis = new Float64Array(3)
  readonly #spin = new Float64Array(3)
  readonly #from = new Float64Array(3)
  readonly #to = new Float64Array(3)
  readonly #arc = new Float64Array(ARC_STRIDE)
  readonly #place = new Float64Array(3)
  readonly #placeRate = new Float64Array(3)
  #arcHeight0 = 0
  #arcHeight1 = 0
  #length = 0
  #kind = 0
  #turns = false

  constructor(kinematics: Kinematics, path: Toolpath, lengths: ArrayLike<number>) {
    this.#k = kinematics
    this.#path = path
    this.#lengths = lengths
    this.#width = path.axes.length
    this.#start = new Float64Array(this.#width)
    this.#delta = new Float64Array(this.#width)
    this.#now = new Float64Array(this.#width)
    this.#rate = new Float64Array(this.#width)
  }

  /** Takes motion i in hand and computes its bounds. */
  begin(i: number): void {
    const path = this.#path, width = this.#width
    this.#kind = path.kind[i]
    const tool = path.tool[i]
    this.#length = tool < this.#lengths.length ? this.#lengths[tool] : 0
    for (let j = 0; j < width; j++) {
      this.#start[j] = path.joints[i * width + j]
      this.#delta[j] = path.joints[(i + 1) * width + j] - this.#start[j]
    }
    this.#turns = this.#k.rotary.some(j => this.#delta[j] !== 0)
    if (path.arcOf[i] >= 0) this.#arc.set(path.arcs.subarray(path.arcOf[i] * ARC_STRIDE, (path.arcOf[i] + 1) * ARC_STRIDE))
    if (this.#kind === MotionKind.toolLine || this.#kind === MotionKind.toolArc) {
      this.#tipAtEnd(this.#start, this.#from)
      for (let j = 0; j < width; j++) this.#now[j] = path.joints[(i + 1) * width + j]
      this.#tipAtEnd(this.#now, this.#to)
    } else if (this.#kind === MotionKind.jointArc) {
      for (let n = 0; n < 3; n++) {
        const j = this.#k.linear[n]
        this.#from[n] = j < 0 ? 0 : this.#start[j]
        this.#to[n] = j < 0 ? 0 : this.#start[j] + this.#delta[j]
      }
    }
    if (this.#kind === MotionKind.toolArc || this.#kind === MotionKind.jointArc) {
      this.#arcHeight0 = this.#axialHeight(this.#from)
      this.#arcHeight1 = this.#axialHeight(this.#to)
    }
    this.#bound()
  }

  /** The pose at time t. */
  at(t: number): void {
    const toolControlled = this.#kind === MotionKind.toolLine || this.#kind === MotionKind.toolArc
    if (this.#kind === MotionKind.toolLine) {
      const { '0': x0, '1': y0, '2': z0 } = this.#from
      this.vx = this.#to[0] - x0; this.vy = this.#to[1] - y0; this.vz = this.#to[2] - z0
      this.px = x0 + this.vx * t; this.py = y0 + this.vy * t; this.pz = z0 + this.vz * t
    } else if (this.#kind === MotionKind.toolArc) {
      this.#alongArc(t)
      this.px = this.#place[0]; this.py = this.#place[1]; this.pz = this.#place[2]
      this.vx = this.#placeRate[0]; this.vy = this.#placeRate[1]; this.vz = this.#placeRate[2]
    }
    if (toolControlled && !this.#turns && t !== 0.5) {
      // The axis stands still: what the middle of the motion gave holds everywhere.
      return
    }
    if (toolControlled) this.#turnAxis(t)
    else {
      this.#jointsAt(t)
      this.#chain()
      this.px = this.#point[0]; this.py = this.#point[1]; this.pz = this.#point[2]
      this.vx = this.#velocity[0]; this.vy = this.#velocity[1]; this.vz = this.#velocity[2]
    }
    const ax = this.#axis[0], ay = this.#axis[1], az = this.#axis[2]
    const sx = this.#spin[0], sy = this.#spin[1], sz = this.#spin[2]
    const along = sx * ax + sy * ay + sz * az
    this.ax = ax; this.ay = ay; this.az = az
    this.wx = sx - along * ax; this.wy = sy - along * ay; this.wz = sz - along * az
  }

  /** Axis and angular velocity alone: the tool point under tool-centre control does not come from the chains. */
  #turnAxis(t: number): void {
    const k = this.#k, a = this.#axis, w = this.#spin
    for (let n = 0; n < 3; n++) {
      a[n] = k.axis[n]
      w[n] = 0
    }
    for (let i = k.head.length - 1; i >= 0; i--) if (k.head[i].rotary) this.#turnAxisBy(k.head[i], 1, t)
    for (let i = 0; i < k.table.length; i++) if (k.table[i].rotary) this.#turnAxisBy(k.table[i], -1, t)
    backTurn(k.partRotation, a)
    backTurn(k.partRotation, w)
  }

  #turnAxisBy(link: Kinematics['head'][number], sign: number, t: number): void {
    const joint = link.joint, rate = sign * this.#delta[joint], angle = sign * (this.#start[joint] + this.#delta[joint] * t)
    const e = link.direction, w = this.#spin
    if (angle !== 0) {
      const s = Math.sin(angle), c = 1 - Math.cos(angle)
      turnBy(e, s, c, this.#axis)
      if (w[0] !== 0 || w[1] !== 0 || w[2] !== 0) turnBy(e, s, c, w)
    }
    w[0] += rate * e[0]
    w[1] += rate * e[1]
    w[2] += rate * e[2]
  }

  /** Joint values at time t, in the joint order; the tool point's joints are solved for under tool-centre control. */
  jointsAt(t: number, out: Float64Array): void {
    this.#jointsAt(t)
    out.set(this.#now)
    if (this.#kind !== MotionKind.toolLine && this.#kind !== MotionKind.toolArc) return
    this.at(t)
    jointsForToolPoint(this.#k, out, this.#length, this.px, this.py, this.pz)
  }

  #tipAtEnd(joints: Float64Array, out: Float64Array): void {
    const k = this.#k
    for (let n = 0; n < 3; n++) out[n] = k.gauge[n] - this.#length * k.axis[n]
    applyChain(k.head, joints, out, true)
    machineToPart(k, joints, out, true)
  }

  #jointsAt(t: number): void {
    for (let j = 0; j < this.#width; j++) {
      this.#now[j] = this.#start[j] + this.#delta[j] * t
      this.#rate[j] = this.#delta[j]
    }
    if (this.#kind !== MotionKind.jointArc) return
    this.#alongArc(t)
    for (let n = 0; n < 3; n++) {
      const j = this.#k.linear[n]
      if (j < 0) continue
      this.#now[j] = this.#place[n]
      this.#rate[j] = this.#placeRate[n]
    }
  }

  /** Height of a point over the arc's plane through its centre, along u × v. */
  #axialHeight(p: Float64Array): number {
    const a = this.#arc
    const nx = a[4] * a[8] - a[5] * a[7], ny = a[5] * a[6] - a[3] * a[8], nz = a[3] * a[7] - a[4] * a[6]
    return (p[0] - a[0]) * nx + (p[1] - a[1]) * ny + (p[2] - a[2]) * nz
  }

  #alongArc(t: number): void {
    const a = this.#arc
    const sweep = a[9], dr = a[11] - a[10], r = a[10] + dr * t
    const dh = this.#arcHeight1 - this.#arcHeight0, h = this.#arcHeight0 + dh * t
    const c = Math.cos(sweep * t), s = Math.sin(sweep * t)
    const n0 = a[4] * a[8] - a[5] * a[7], n1 = a[5] * a[6] - a[3] * a[8], n2 = a[3] * a[7] - a[4] * a[6]
    const cu = dr * c - r * sweep * s, cv = dr * s + r * sweep * c
    this.#place[0] = a[0] + r * (c * a[3] + s * a[6]) + h * n0
    this.#place[1] = a[1] + r * (c * a[4] + s * a[7]) + h * n1
    this.#place[2] = a[2] + r * (c * a[5] + s * a[8]) + h * n2
    this.#placeRate[0] = cu * a[3] + cv * a[6] + dh * n0
    this.#placeRate[1] = cu * a[4] + cv * a[7] + dh * n1
    this.#placeRate[2] = cu * a[5] + cv * a[8] + dh * n2
  }

  /** Carries tool point, axis, velocity and angular velocity through both chains into the part frame, at the joints and rates in hand. */
  #chain(): void {
    const k = this.#k, p = this.#point, v = this.#velocity, a = this.#axis, w = this.#spin
    for (let n = 0; n < 3; n++) {
      a[n] = k.axis[n]
      p[n] = k.gauge[n] - this.#length * k.axis[n]
      v[n] = 0
      w[n] = 0
    }
    for (let i = k.head.length - 1; i >= 0; i--) {
      const link = k.head[i], d = link.direction, q = this.#now[link.joint], rate = this.#rate[link.joint]
      if (!link.rotary) {
        for (let n = 0; n < 3; n++) { p[n] += d[n] * q; v[n] += d[n] * rate }
        continue
      }
      this.#turnAll(d, link.through, q)
      this.#addSpin(d, link.through, rate)
    }
    for (let i = 0; i < k.table.length; i++) {
      const link = k.table[i], d = link.direction, q = this.#now[link.joint], rate = this.#rate[link.joint]
      if (!link.rotary) {
        for (let n = 0; n < 3; n++) { p[n] -= d[n] * q; v[n] -= d[n] * rate }
        continue
      }
      this.#turnAll(d, link.through, -q)
      this.#addSpin(d, link.through, -rate)
    }
    for (let n = 0; n < 3; n++) p[n] -= k.partOrigin[n]
    backTurn(k.partRotation, p)
    backTurn(k.partRotation, v)
    backTurn(k.partRotation, a)
    backTurn(k.partRotation, w)
  }

  #turnAll(e: ArrayLike<number>, c: ArrayLike<number>, angle: number): void {
    const s = Math.sin(angle), k = 1 - Math.cos(angle), p = this.#point
    for (let n = 0; n < 3; n++) p[n] -= c[n]
    turnBy(e, s, k, p)
    for (let n = 0; n < 3; n++) p[n] += c[n]
    turnBy(e, s, k, this.#axis)
    turnBy(e, s, k, this.#velocity)
    turnBy(e, s, k, this.#spin)
  }

  #addSpin(e: ArrayLike<number>, c: ArrayLike<number>, rate: number): void {
    if (rate === 0) return
    const p = this.#point, v = this.#velocity, w = this.#spin
    const x = p[0] - c[0], y = p[1] - c[1], z = p[2] - c[2]
    v[0] += rate * (e[1] * z - e[2] * y)
    v[1] += rate * (e[2] * x - e[0] * z)
    v[2] += rate * (e[0] * y - e[1] * x)
    w[0] += rate * e[0]
    w[1] += rate * e[1]
    w[2] += rate * e[2]
  }

  /**
   * Bounds over the motion. With joint rates ω: |W| ≤ Σ|ω|, and each joint's axis is carried round
   * by the joints before it, so |W′| ≤ Σ_{i<j} |ω_i||ω_j|. Ω is W without its part along the axis:
   * |Ω′| ≤ |W′| + |W||Ω|, and |Ω| ≤ |Ω(½)| + ½ sup|Ω′|.
   */
  #bound(): void {
    let total = 0, pairs = 0
    for (const j of this.#k.rotary) {
      const rate = Math.abs(this.#delta[j])
      pairs += total * rate
      total += rate
    }
    this.#findSquare(total)
    this.at(0.5)
    if (total === 0) {
      this.turn = 0
      this.turnRate = 0
    } else {
      const middle = Math.hypot(this.wx, this.wy, this.wz)
      this.turn = Math.min(total, middle + 0.5 * (pairs + total * total))
      this.turn = Math.min(this.turn, middle + 0.5 * (pairs + total * this.turn))
      this.turnRate = pairs + total * this.turn
    }
    if (this.#kind === MotionKind.toolLine) {
      this.speed = Math.hypot(this.vx, this.vy, this.vz)
      this.acceleration = 0
    } else if (this.#kind === MotionKind.toolArc) {
      this.speed = this.#arcSpeed()
      this.acceleration = this.#arcAcceleration()
    } else this.#boundJointMove()
  }

  /**
   * With the rotary joints at rest V′ of an arc, helix or spiral lies in one plane: two differences
   * of velocities span it. Arcs too short to span it well are left without, which costs only time.
   */
  #findSquare(turning: number): void {
    this.squareX = this.squareY = this.squareZ = 0
    if (turning !== 0 || (this.#kind !== MotionKind.jointArc && this.#kind !== MotionKind.toolArc)) return
    this.at(0)
    const x = this.vx, y = this.vy, z = this.vz
    this.at(1 / 3)
    const ax = this.vx - x, ay = this.vy - y, az = this.vz - z
    this.at(2 / 3)
    const bx = this.vx - x, by = this.vy - y, bz = this.vz - z
    const nx = ay * bz - az * by, ny = az * bx - ax * bz, nz = ax * by - ay * bx
    const length = Math.hypot(nx, ny, nz)
    if (!(length > 1e-4 * Math.hypot(ax, ay, az) * Math.hypot(bx, by, bz))) return
    this.squareX = nx / length
    this.squareY = ny / length
    this.squareZ = nz / length
  }

  /** Upper bound of |V′| along a unit vector; a hair is added for the rounding of the plane. */
  accelerationAlong(x: number, y: number, z: number): number {
    if (this.acceleration === 0) return 0
    const out = x * this.squareX + y * this.squareY + z * this.squareZ
    return this.acceleration * (Math.sqrt(Math.max(0, 1 - out * out)) + 1e-9)
  }

  #arcSpeed(): number {
    const a = this.#arc
    return Math.hypot(a[9] * Math.max(a[10], a[11]), a[11] - a[10], this.#arcHeight1 - this.#arcHeight0)
  }

  #arcAcceleration(): number {
    const a = this.#arc
    return a[9] * a[9] * Math.max(a[10], a[11]) + 2 * a[9] * Math.abs(a[11] - a[10])
  }

  /**
   * Speed and acceleration of the tool point through the chains, link by link. A rotary link at rate
   * ω takes a point within ρ of its axis, with bounds v and w, to v + ωρ and w + 2ωv + ω²ρ; ρ is
   * the distance at mid-motion plus half of v.
   */
  #boundJointMove(): void {
    const k = this.#k, p = this.#place
    let speed = 0, acceleration = 0
    const arc = this.#kind === MotionKind.jointArc
    const arcSpeed = arc ? this.#arcSpeed() : 0, arcAcceleration = arc ? this.#arcAcceleration() : 0
    const through = (rotary: boolean, joint: number, centre: ArrayLike<number>) => {
      if (!rotary) {
        const onArc = arc && k.linear.includes(joint)
        speed += onArc ? arcSpeed : Math.abs(this.#delta[joint])
        acceleration += onArc ? arcAcceleration : 0
        return
      }
      const rate = Math.abs(this.#delta[joint])
      if (rate === 0) return
      const reach = Math.hypot(p[0] - centre[0], p[1] - centre[1], p[2] - centre[2]) + 0.5 * speed
      acceleration += 2 * rate * speed + rate * rate * reach
      speed += rate * reach
    }
    this.#jointsAt(0.5)
    const middle = this.#now
    for (let n = 0; n < 3; n++) p[n] = k.gauge[n] - this.#length * k.axis[n]
    for (let i = k.head.length - 1; i >= 0; i--) {
      through(k.head[i].rotary, k.head[i].joint, k.head[i].through)
      applyChain([k.head[i]], middle, p, true)
    }
    for (const link of k.table) {
      through(link.rotary, link.joint, link.through)
      // The distance to the axis is the same before and after the turn.
      const back = Float64Array.from(middle, value => -value)
      applyChain([link], back, p, true)
    }
    this.speed = speed
    this.acceleration = acceleration
  }
}

/** Rodrigues' rotation of v about unit e with sine s and 1 − cosine k. */
function turnBy(e: ArrayLike<number>, s: number, k: number, v: Float64Array): void {
  const x = v[0], y = v[1], z = v[2]
  const ax = e[1] * z - e[2] * y, ay = e[2] * x - e[0] * z, az = e[0] * y - e[1] * x
  v[0] += s * ax + k * (e[1] * az - e[2] * ay)
  v[1] += s * ay + k * (e[2] * ax - e[0] * az)
  v[2] += s * az + k * (e[0] * ay - e[1] * ax)
}

/** Multiplies by the transpose of a rotation given row by row. */
function backTurn(r: ArrayLike<number>, v: Float64Array): void {
  const x = v[0], y = v[1], z = v[2]
  v[0] = r[0] * x + r[3] * y + r[6] * z
  v[1] = r[1] * x + r[4] * y + r[7] * z
  v[2] = r[2] * x + r[5] * y + r[8] * z
}
