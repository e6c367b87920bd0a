// The packed motions of a program: one record a motion in parallel arrays, joints end to end.
// Time inside a motion is t in [0, 1]; the joints of motion i run from row i to row i + 1.

/** How the pose runs between the end points of a motion. */
export const MotionKind = {
  /** Every joint moves evenly. The tool point may run a curve on the part. */
  joints: 0,
  /** Tool-centre control: the tool point moves straight in the part frame, rotary joints move evenly. */
  toolLine: 1,
  /** X, Y and Z joints run an arc (helix, spiral within tolerance), the others move evenly. */
  jointArc: 2,
  /** Tool-centre control: the tool point runs the arc in the part frame. */
  toolArc: 3,
} as const

/** Bits of `Toolpath.flags`. */
export const MotionFlag = {
  /** Not a feed move. */
  rapid: 1,
  spindleOn: 2,
  coolantOn: 4,
  /** A length offset or tool-centre control is in force. */
  lengthOn: 8,
  /** A joint's start is not known: nothing about this motion can be checked. */
  unknownStart: 16,
} as const

/** Numbers of one arc record. */
export const ARC_STRIDE = 12

/**
 * Arc record: centre x y z, unit vector u (from the centre to the start), unit vector v (in the
 * plane, the way the arc sets out), sweep in radians (positive), start radius, end radius.
 * Joint arcs are in joint values of X Y Z, tool arcs in the part frame; mm.
 * Position(t) = centre + r(t)(cos φ u + sin φ v) + h(t) (u × v), φ = sweep t, r and h linear in t.
 * The axial h at both ends follows from the end points.
 */
export interface Toolpath {
  readonly count: number
  /** Axis letters in joint order. */
  readonly axes: readonly string[]
  readonly kind: Uint8Array
  readonly flags: Uint8Array
  /** 0-based line of the program that asks for the motion. */
  readonly line: Uint32Array
  /** Index into the sheet's tools, or NO_TOOL. */
  readonly tool: Uint8Array
  /** Seconds the motion takes at the programmed feed, without acceleration. */
  readonly seconds: Float32Array
  /** Joint values, row after row: (count + 1) × axes.length; mm and radians. */
  readonly joints: Float64Array
  /** Index of the motion's arc record, or -1; absent records take no room. */
  readonly arcOf: Int32Array
  readonly arcs: Float64Array
  /** Index into `calls` of the call a motion belongs to, or -1; absent where the program calls nothing. */
  readonly callOf?: Int32Array
  readonly calls?: readonly CallRecord[]
}

/** One call site, however often it is passed: the way to a motion goes over `parent`. */
export interface CallRecord {
  /** The call that the calling program itself was called by, or -1. */
  readonly parent: number
  /** 0-based line of the calling text. */
  readonly line: number
  /** Number of the program called. */
  readonly program: number
  /** Path of the calling text and of the called one where they are not the program itself. */
  readonly file?: string
  readonly target?: string
}

export const NO_TOOL = 255

/** Grows the packed motions. The owner is the interpreter; everyone else only reads the result. */
export class ToolpathBuilder {
  #count = 0
  #arcCount = 0
  readonly #width: number
  readonly #axes: readonly string[]
  #kind: Uint8Array
  #flags: Uint8Array
  #line: Uint32Array
  #tool: Uint8Array
  #seconds: Float32Array
  #arcOf: Int32Array
  #joints: Float64Array
  #arcs = new Float64Array(ARC_STRIDE * 16)
  #callOf: Int32Array | undefined
  #call = -1

  /** `start`: joint values before the first motion. `expected`: about how many motions there will be. */
  constructor(axes: readonly string[], start: ArrayLike<number>, expected = 1024) {
    const size = Math.max(16, expected)
    this.#kind = new Uint8Array(size)
    this.#flags = new Uint8Array(size)
    this.#line = new Uint32Array(size)
    this.#tool = new Uint8Array(size)
    this.#seconds = new Float32Array(size)
    this.#arcOf = new Int32Array(size)
    this.#axes = axes
    this.#width = axes.length
    this.#joints = new Float64Array((size + 1) * this.#width)
    this.#joints.set(start)
  }

  get count(): number { return this.#count }

  /** Motions from here on belong to this call record; -1: to the program itself. */
  setCall(record: number): void {
    this.#call = record
    if (record >= 0) this.#callOf ??= new Int32Array(this.#kind.length).fill(-1)
  }

  /** Adds a motion to the joints given and returns its index. `arc` is a record of ARC_STRIDE numbers. */
  push(kind: number, flags: number, line: number, tool: number, seconds: number, joints: ArrayLike<number>, arc?: ArrayLike<number>): number {
    const i = this.#count
    if (i === this.#kind.length) this.#grow()
    this.#kind[i] = kind
    this.#flags[i] = flags
    this.#line[i] = line
    this.#tool[i] = tool
    this.#seconds[i] = seconds
    this.#arcOf[i] = -1
    if (this.#callOf !== undefined) this.#callOf[i] = this.#call
    const row = (i + 1) * this.#width
    for (let j = 0; j < this.#width; j++) this.#joints[row + j] = joints[j]
    if (arc !== undefined) {
      const at = this.#arcCount * ARC_STRIDE
      if (at === this.#arcs.length) this.#arcs = enlarge(this.#arcs, this.#arcs.length * 2)
      this.#arcs.set(arc, at)
      this.#arcOf[i] = this.#arcCount
      this.#arcCount++
    }
    this.#count++
    return i
  }

  finish(calls: readonly CallRecord[] = []): Toolpath {
    const n = this.#count
    return {
      count: n,
      axes: this.#axes,
      kind: this.#kind.slice(0, n),
      flags: this.#flags.slice(0, n),
      line: this.#line.slice(0, n),
      tool: this.#tool.slice(0, n),
      seconds: this.#seconds.slice(0, n),
      joints: this.#joints.slice(0, (n + 1) * this.#width),
      arcOf: this.#arcOf.slice(0, n),
      arcs: this.#arcs.slice(0, this.#arcCount * ARC_STRIDE),
      ...this.#callOf === undefined ? {} : { callOf: this.#callOf.slice(0, n), calls },
    }
  }

  #grow(): void {
    const size = this.#kind.length * 2
    this.#kind = enlarge(this.#kind, size)
    this.#flags = enlarge(this.#flags, size)
    this.#line = enlarge(this.#line, size)
    this.#tool = enlarge(this.#tool, size)
    this.#seconds = enlarge(this.#seconds, size)
    this.#arcOf = enlarge(this.#arcOf, size)
    if (this.#callOf !== undefined) this.#callOf = enlarge(this.#callOf, size)
    this.#joints = enlarge(this.#joints, (size + 1) * this.#width)
  }
}

function enlarge<T extends Uint8Array | Uint32Array | Int32Array | Float32Array | Float64Array>(old: T, size: number): T {
  const next = new (old.constructor as new (n: number) => T)(size)
  next.set(old as never)
  return next
}
