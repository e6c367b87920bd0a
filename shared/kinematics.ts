import type { Machine } from './machine.ts'
import type { Triple } from './setup.ts'

// Forward kinematics of any chain of linear and rotary axes in table and head, and the linear
// joints that put the tool point on a given point of the part once the rotary joints are known.
// Rigid-body motion of each link follows the machine file: see "direction" there. Source of the
// checks: the closed forms of table-table, head-table and head-head machines, Lee & She (1997).

/** One link of a chain: a joint and its screw in the frame at rest. */
interface Link {
  readonly joint: number
  readonly rotary: boolean
  readonly direction: Triple
  readonly through: Triple
}

export interface Kinematics {
  readonly jointCount: number
  readonly head: readonly Link[]
  readonly table: readonly Link[]
  readonly gauge: Triple
  readonly axis: Triple
  /** Joint numbers of X, Y, Z; -1 where the machine has none. */
  readonly linear: readonly [number, number, number]
  readonly rotary: readonly number[]
  /** Part frame in the frame of the table's last link at rest: rotation, row by row, and origin. */
  readonly partRotation: readonly number[]
  readonly partOrigin: Triple
  /**
   * From a way of the tool relative to the work, machine frame, to the joints X, Y and Z: a matrix row by row. Only where no
   * rotary axis stands before a linear one in its chain, so that the matrix is the same in every position.
   */
  readonly linearInverse?: Float64Array
}

/** Tool point and unit axis (tip to spindle) in the part frame. */
export interface ToolPose {
  readonly point: Float64Array
  readonly axis: Float64Array
}

export function newToolPose(): ToolPose {
  return { point: new Float64Array(3), axis: new Float64Array(3) }
}

/**
 * Kinematics of the machine with the part frame at the base work offset: its origin lies where the
 * gauge point stands at those joint values, its axes are those of the machine there.
 * `base`: joint values of the base offset's zero, in joint order.
 */
export function buildKinematics(machine: Machine, base: ArrayLike<number>): Kinematics {
  const link = (joint: number): Link => {
    const axis = machine.axes[joint]
    return { joint, rotary: axis.kind === 'rotary', direction: axis.direction, through: axis.through }
  }
  const head = machine.head.map(link)
  const table = machine.table.map(link)
  const jointOf = (letter: string) => machine.axes.findIndex(axis => axis.letter === letter && axis.kind === 'linear')
  const origin = Float64Array.from(machine.spindle.gauge)
  applyChain(head, base, origin, true)
  removeChain(table, base, origin, true)
  const rotation: number[] = [0, 0, 0, 0, 0, 0, 0, 0, 0]
  const column = new Float64Array(3)
  for (let k = 0; k < 3; k++) {
    column.fill(0)
    column[k] = 1
    removeChain(table, base, column, false)
    for (let row = 0; row < 3; row++) rotation[row * 3 + k] = column[row]
  }
  const linear = [jointOf('X'), jointOf('Y'), jointOf('Z')] as const
  return {
    jointCount: machine.axes.length,
    head,
    table,
    gauge: machine.spindle.gauge,
    axis: machine.spindle.axis,
    linear,
    linearInverse: inverseOfLinear(head, table, linear),
    rotary: machine.axes.flatMap((axis, joint) => axis.kind === 'rotary' ? [joint] : []),
    partRotation: rotation,
    partOrigin: [origin[0], origin[1], origin[2]],
  }
}

/** Moves a point (or turns a direction) from the last link's rest frame through the chain to the machine frame. */
export function applyChain(chain: readonly Link[], joints: ArrayLike<number>, vector: Float64Array, isPoint: boolean): void {
  for (let i = chain.length - 1; i >= 0; i--) {
    const link = chain[i]
    if (link.rotary) turn(link, joints[link.joint], vector, isPoint)
    else if (isPoint) slide(link, joints[link.joint], vector)
  }
}

/** The inverse of `applyChain`. */
export function removeChain(chain: readonly Link[], joints: ArrayLike<number>, vector: Float64Array, isPoint: boolean): void {
  for (let i = 0; i < chain.length; i++) {
    const link = chain[i]
    if (link.rotary) turn(link, -joints[link.joint], vector, isPoint)
    else if (isPoint) slide(link, -joints[link.joint], vector)
  }
}

/** Point or direction of the machine frame, at these joints, in the part frame. */
export function machineToPart(k: Kinematics, joints: ArrayLike<number>, vector: Float64Array, isPoint: boolean): void {
  removeChain(k.table, joints, vector, isPoint)
  if (isPoint) {
    vector[0] -= k.partOrigin[0]
    vector[1] -= k.partOrigin[1]
    vector[2] -= k.partOrigin[2]
  }
  const r = k.partRotation, x = vector[0], y = vector[1], z = vector[2]
  vector[0] = r[0] * x + r[3] * y + r[6] * z
  vector[1] = r[1] * x + r[4] * y + r[7] * z
  vector[2] = r[2] * x + r[5] * y + r[8] * z
}

/** Point or direction of the part frame, at these joints, in the machine frame. */
export function partToMachine(k: Kinematics, joints: ArrayLike<number>, vector: Float64Array, isPoint: boolean): void {
  const r = k.partRotation, x = vector[0], y = vector[1], z = vector[2]
  vector[0] = r[0] * x + r[1] * y + r[2] * z
  vector[1] = r[3] * x + r[4] * y + r[5] * z
  vector[2] = r[6] * x + r[7] * y + r[8] * z
  if (isPoint) {
    vector[0] += k.partOrigin[0]
    vector[1] += k.partOrigin[1]
    vector[2] += k.partOrigin[2]
  }
  applyChain(k.table, joints, vector, isPoint)
}

/** Tool point and axis in the part frame. `length`: gauge point to tool point along the axis, mm. */
export function toolPose(k: Kinematics, joints: ArrayLike<number>, length: number, out: ToolPose): void {
  const { point, axis } = out
  for (let i = 0; i < 3; i++) {
    axis[i] = k.axis[i]
    point[i] = k.gauge[i] - length * k.axis[i]
  }
  applyChain(k.head, joints, point, true)
  applyChain(k.head, joints, axis, false)
  machineToPart(k, joints, point, true)
  machineToPart(k, joints, axis, false)
}

/**
 * Writes into `joints` the X, Y and Z joints that put the tool point on (x, y, z) of the part frame;
 * rotary and further joints are taken as they stand in `joints`. False where the machine lacks
 * three independent linear axes; `joints` is then unchanged.
 */
export function jointsForToolPoint(k: Kinematics, joints: Float64Array, length: number, x: number, y: number, z: number): boolean {
  const jx = k.linear[0], jy = k.linear[1], jz = k.linear[2]
  if (jx < 0 || jy < 0 || jz < 0) return false
  const keepX = joints[jx], keepY = joints[jy], keepZ = joints[jz]
  joints[jx] = joints[jy] = joints[jz] = 0
  tip[0] = k.gauge[0] - length * k.axis[0]
  tip[1] = k.gauge[1] - length * k.axis[1]
  tip[2] = k.gauge[2] - length * k.axis[2]
  applyChain(k.head, joints, tip, true)
  wanted[0] = x
  wanted[1] = y
  wanted[2] = z
  partToMachine(k, joints, wanted, true)
  const rx = wanted[0] - tip[0], ry = wanted[1] - tip[1], rz = wanted[2] - tip[2]
  const m = k.linearInverse ?? inverse(linearColumn(k.head, k.table, joints, jx), linearColumn(k.head, k.table, joints, jy), linearColumn(k.head, k.table, joints, jz))
  if (m === undefined) {
    joints[jx] = keepX
    joints[jy] = keepY
    joints[jz] = keepZ
    return false
  }
  joints[jx] = m[0] * rx + m[1] * ry + m[2] * rz
  joints[jy] = m[3] * rx + m[4] * ry + m[5] * rz
  joints[jz] = m[6] * rx + m[7] * ry + m[8] * rz
  return true
}

/** Points in the making, used again by each call of `jointsForToolPoint`. */
const tip = new Float64Array(3)
const wanted = new Float64Array(3)

/** Where a work offset's zero lies in the part frame, the rotary joints at the base offset. `shift`: its linear joints less those of the base. */
export function workOffsetInPart(k: Kinematics, shift: ArrayLike<number>): Triple {
  const out: [number, number, number] = [0, 0, 0]
  const add = (chain: readonly Link[], sign: number) => {
    for (const link of chain) {
      if (link.rotary) continue
      for (let i = 0; i < 3; i++) out[i] += sign * link.direction[i] * shift[link.joint]
    }
  }
  add(k.head, 1)
  add(k.table, -1)
  return out
}

/** The matrix of `linearInverse`, where one holds for every position. */
function inverseOfLinear(head: readonly Link[], table: readonly Link[], linear: readonly [number, number, number]): Float64Array | undefined {
  const isFixed = (chain: readonly Link[]) => {
    const firstRotary = chain.findIndex(link => link.rotary)
    return firstRotary < 0 || !chain.slice(firstRotary).some(link => linear.includes(link.joint))
  }
  if (linear.includes(-1) || !isFixed(head) || !isFixed(table)) return undefined
  const [x, y, z] = linear
  return inverse(linearColumn(head, table, [], x), linearColumn(head, table, [], y), linearColumn(head, table, [], z))
}

/** How the tool moves relative to the work, machine frame, for one unit of a linear joint. */
function linearColumn(head: readonly Link[], table: readonly Link[], joints: ArrayLike<number>, joint: number): Float64Array {
  const column = new Float64Array(3)
  const inHead = head.findIndex(link => link.joint === joint)
  const chain = inHead >= 0 ? head : table
  const at = inHead >= 0 ? inHead : table.findIndex(link => link.joint === joint)
  if (at < 0) return column
  const sign = inHead >= 0 ? 1 : -1
  for (let i = 0; i < 3; i++) column[i] = sign * chain[at].direction[i]
  for (let i = at - 1; i >= 0; i--) if (chain[i].rotary) turn(chain[i], joints[chain[i].joint], column, false)
  return column
}

/** Inverse of the matrix with these columns, row by row; undefined where they do not span space. */
function inverse(x: Float64Array, y: Float64Array, z: Float64Array): Float64Array | undefined {
  const determinant = triple(x, y, z)
  if (Math.abs(determinant) < 1e-9) return undefined
  const out = new Float64Array(9)
  const row = (n: number, a: Float64Array, b: Float64Array) => {
    out[n] = (a[1] * b[2] - a[2] * b[1]) / determinant
    out[n + 1] = (a[2] * b[0] - a[0] * b[2]) / determinant
    out[n + 2] = (a[0] * b[1] - a[1] * b[0]) / determinant
  }
  row(0, y, z)
  row(3, z, x)
  row(6, x, y)
  return out
}

function slide(link: Link, distance: number, v: Float64Array): void {
  const d = link.direction
  v[0] += d[0] * distance
  v[1] += d[1] * distance
  v[2] += d[2] * distance
}

/** Turns by the right-hand rule about the link's axis (Rodrigues' formula). */
function turn(link: Link, angle: number, v: Float64Array, isPoint: boolean): void {
  const e = link.direction, c = link.through
  const s = Math.sin(angle), k = 1 - Math.cos(angle)
  let x = v[0], y = v[1], z = v[2]
  if (isPoint) {
    x -= c[0]
    y -= c[1]
    z -= c[2]
  }
  // v + sin (e × v) + (1 − cos) (e × (e × v))
  const ax = e[1] * z - e[2] * y, ay = e[2] * x - e[0] * z, az = e[0] * y - e[1] * x
  v[0] += s * ax + k * (e[1] * az - e[2] * ay)
  v[1] += s * ay + k * (e[2] * ax - e[0] * az)
  v[2] += s * az + k * (e[0] * ay - e[1] * ax)
}

function triple(a: ArrayLike<number>, b: ArrayLike<number>, c: ArrayLike<number>): number {
  return a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])
}
