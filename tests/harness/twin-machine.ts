import type { Axis, Machine } from '../../shared/machine.ts'
import type { Toolpath } from '../../shared/toolpath.ts'

// Where the tool is, worked out a second time with 4 × 4 matrices from the machine file's own words:
// nothing of the engine is used here but its plain data. mm and radians.

/** A 4 × 4 matrix, row after row. */
export type Matrix = readonly number[]
type Vector = readonly [number, number, number]

/** Tool point and unit axis, tip to spindle, in the part frame. */
export interface TwinPose { readonly point: Vector, readonly axis: Vector }

const identity: Matrix = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]

/** Kinds of motion as `MotionKind` numbers them. */
const toolLine = 1, jointArc = 2, toolArc = 3
const arcNumbers = 12

export class TwinMachine {
  readonly #machine: Machine
  /** From the part frame to the frame of the table's last link at rest. */
  readonly #part: Matrix

  /** `base`: joint values at which the gauge point marks the part frame's origin and the machine's axes its directions. */
  constructor(machine: Machine, base: ArrayLike<number>) {
    this.#machine = machine
    const gauge = transform(chain(machine, machine.head, base), machine.spindle.gauge, 1)
    this.#part = multiply(inverse(chain(machine, machine.table, base)), translation(gauge))
  }

  /** Tool point and axis at these joints. `length`: gauge point to tool point, mm. */
  pose(joints: ArrayLike<number>, length: number): TwinPose {
    const { head, table, spindle } = this.#machine
    const toPart = multiply(inverse(multiply(chain(this.#machine, table, joints), this.#part)), chain(this.#machine, head, joints))
    const tip = spindle.gauge.map((value, k) => value - length * spindle.axis[k]) as unknown as Vector
    return { point: transform(toPart, tip, 1), axis: transform(toPart, spindle.axis, 0) }
  }

  /** From the frame of the link that an axis moves, the machine frame at rest, to that of another link or to the part frame, at these joints. */
  between(from: number, to: number | 'part', joints: ArrayLike<number>): Matrix {
    const target = to === 'part' ? multiply(chain(this.#machine, this.#machine.table, joints), this.#part) : this.#linkAt(to, joints)
    return multiply(inverse(target), this.#linkAt(from, joints))
  }

  #linkAt(joint: number, joints: ArrayLike<number>): Matrix {
    const { head, table } = this.#machine
    const links = head.includes(joint) ? head : table
    return chain(this.#machine, links.slice(0, links.indexOf(joint) + 1), joints)
  }

  /** The pose at time t of a motion, as the kinds of motion are defined. */
  poseAt(path: Toolpath, motion: number, length: number, t: number): TwinPose {
    const width = path.axes.length
    const from = path.joints.slice(motion * width, (motion + 1) * width)
    const to = path.joints.slice((motion + 1) * width, (motion + 2) * width)
    const now = from.map((value, j) => value + (to[j] - value) * t)
    const arc = [...path.arcs.slice(path.arcOf[motion] * arcNumbers, (path.arcOf[motion] + 1) * arcNumbers)]
    switch (path.kind[motion]) {
      case jointArc: {
        const xyz = ['X', 'Y', 'Z'].map(letter => this.#machine.axes.findIndex(axis => axis.letter === letter))
        const place = alongArc(arc, xyz.map(j => from[j]), xyz.map(j => to[j]), t)
        xyz.forEach((j, k) => { now[j] = place[k] })
        return this.pose(now, length)
      }
      case toolLine:
      case toolArc: {
        const start = this.pose(from, length).point, end = this.pose(to, length).point
        const straight = start.map((value, k) => value + (end[k] - value) * t) as unknown as Vector
        const point = path.kind[motion] === toolLine ? straight : alongArc(arc, start, end, t)
        return { point, axis: this.pose(now, length).axis }
      }
      default:
        return this.pose(now, length)
    }
  }
}

/** centre + r(t)(cos φ u + sin φ v) + h(t) (u × v), r and h linear in t, h from the two ends. */
function alongArc(arc: readonly number[], start: ArrayLike<number>, end: ArrayLike<number>, t: number): Vector {
  const centre = arc.slice(0, 3), u = arc.slice(3, 6), v = arc.slice(6, 9), [sweep, r0, r1] = arc.slice(9)
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]
  const height = (p: ArrayLike<number>) => n.reduce((sum, value, k) => sum + value * (p[k] - centre[k]), 0)
  const r = r0 + (r1 - r0) * t, h = height(start) + (height(end) - height(start)) * t
  const at = (k: number) => centre[k] + r * (Math.cos(sweep * t) * u[k] + Math.sin(sweep * t) * v[k]) + h * n[k]
  return [at(0), at(1), at(2)]
}

/** Product of the links' motions, from the machine's base outward. */
function chain(machine: Machine, links: readonly number[], joints: ArrayLike<number>): Matrix {
  return links.reduce<Matrix>((product, joint) => multiply(product, linkMotion(machine.axes[joint], joints[joint])), identity)
}

function linkMotion(axis: Axis, value: number): Matrix {
  if (axis.kind === 'linear') return translation([axis.direction[0] * value, axis.direction[1] * value, axis.direction[2] * value])
  const [x, y, z] = axis.direction, c = Math.cos(value), s = Math.sin(value), k = 1 - c
  const turn: Matrix = [
    c + x * x * k, x * y * k - z * s, x * z * k + y * s, 0,
    y * x * k + z * s, c + y * y * k, y * z * k - x * s, 0,
    z * x * k - y * s, z * y * k + x * s, c + z * z * k, 0,
    0, 0, 0, 1,
  ]
  const [a, b, d] = axis.through
  return multiply(multiply(translation([a, b, d]), turn), translation([-a, -b, -d]))
}

function translation(v: ArrayLike<number>): Matrix {
  return [1, 0, 0, v[0], 0, 1, 0, v[1], 0, 0, 1, v[2], 0, 0, 0, 1]
}

export function multiply(a: Matrix, b: Matrix): Matrix {
  const out = new Array<number>(16).fill(0)
  for (let i = 0; i < 4; i++) for (let j = 0; j < 4; j++) for (let k = 0; k < 4; k++) out[i * 4 + j] += a[i * 4 + k] * b[k * 4 + j]
  return out
}

/** Of a rotation with a translation. */
export function inverse(m: Matrix): Matrix {
  const turned = [m[0], m[4], m[8], 0, m[1], m[5], m[9], 0, m[2], m[6], m[10], 0, 0, 0, 0, 1]
  const shift = transform(turned, [m[3], m[7], m[11]], 0)
  return multiply(translation(shift.map(value => -value)), turned)
}

/** `w`: 1 for a point, 0 for a direction. */
export function transform(m: Matrix, v: ArrayLike<number>, w: 0 | 1): Vector {
  const row = (i: number) => m[i * 4] * v[0] + m[i * 4 + 1] * v[1] + m[i * 4 + 2] * v[2] + m[i * 4 + 3] * w
  return [row(0), row(1), row(2)]
}
