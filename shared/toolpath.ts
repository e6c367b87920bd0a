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
  /** Its F is inverse time. */
  inverseTime: 32,
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
  /** 0-based line of the called file that asks for the motion, or -1; absent where no other file is run. */
  readonly ownLine?: Int32Array
  /** How often the motion's block had run before; absent where no block runs again. */
  readonly pass?: Uint32Array
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

/** Lines from here on are places in called files: see `ToolpathBuilder.placeOf`. */
const FIRST_PLACE = 2 ** 31

interface Place { readonly line: number, readonly ownLine: number, readonly call: number }

/** The block that asks for a motion, the same word for each of its runs: its line, and the file where it is not the program's. */
export function blockOfMotion({ line, ownLine, callOf, calls }: Toolpath, motion: number): string {
  const own = ownLine?.[motion] ?? -1
  return own < 0 ? String(line[motion]) : `${own} ${calls?.[callOf?.[motion] ?? -1]?.target ?? ''}`
}

/** Whether two motions were asked for by one run of one block. */
export function isSameRun({ line, ownLine, callOf, pass }: Toolpath, a: number, b: number): boolean {
  return line[a] === line[b] && pass?.[a] === pass?.[b] && callOf?.[a] === callOf?.[b] && ownLine?.[a] === ownLine?.[b]
}

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
  #ownLine: Int32Array | undefined
  #pass: Uint32Array | undefined
  #call = -1
  #ownPass = 0
  readonly #places: Place[] = []
  readonly #placeIndex = new Map<string, number>()

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

  get arcCount(): number { return this.#arcCount }

  /** Motions from here on belong to this call record; -1: to the program itself. */
  setCall(record: number): void {
    this.#call = record
    if (record >= 0) this.#callOf ??= new Int32Array(this.#kind.length).fill(-1)
  }

  /** Motions from here on are of this run of their block, counted from 0. */
  setPass(pass: number): void {
    this.#ownPass = pass
    if (pass > 0) this.#pass ??= new Uint32Array(this.#kind.length)
  }

  /** What stands for `line` in `push` where another text asks for the motion: the line of the program that it counts for, its own, and its call. */
  placeOf(line: number, ownLine: number, call: number): number {
    const key = `${line} ${ownLine} ${call}`
    let at = this.#placeIndex.get(key)
    if (at === undefined) {
      at = FIRST_PLACE + this.#places.length
      this.#placeIndex.set(key, at)
      this.#places.push({ line, ownLine, call })
      this.#ownLine ??= new Int32Array(this.#kind.length).fill(-1)
    }
    return at
  }

  /** Adds a motion to the joints given and returns its index. `line`: of the program, or a place. `arc` is a record of ARC_STRIDE numbers. */
  push(kind: number, flags: number, line: number, tool: number, seconds: number, joints: ArrayLike<number>, arc?: ArrayLike<number>): number {
    const i = this.#count
    if (i === this.#kind.length) this.#grow()
    this.#kind[i] = kind
    this.#flags[i] = flags
    const place = line < FIRST_PLACE ? undefined : this.#places[line - FIRST_PLACE]
    this.#line[i] = place?.line ?? line
    this.#tool[i] = tool
    this.#seconds[i] = seconds
    this.#arcOf[i] = -1
    if (this.#callOf !== undefined) this.#callOf[i] = place?.call ?? this.#call
    if (this.#ownLine !== undefined) this.#ownLine[i] = place?.ownLine ?? -1
    if (this.#pass !== undefined) this.#pass[i] = this.#ownPass
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
      ...this.#ownLine === undefined ? {} : { ownLine: this.#ownLine.slice(0, n) },
      ...this.#pass === undefined ? {} : { pass: this.#pass.slice(0, n) },
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
    if (this.#ownLine !== undefined) this.#ownLine = enlarge(this.#ownLine, size)
    if (this.#pass !== undefined) this.#pass = enlarge(this.#pass, size)
    this.#joints = enlarge(this.#joints, (size + 1) * this.#width)
  }
}

function enlarge<T extends Uint8Array | Uint32Array | Int32Array | Float32Array | Float64Array>(old: T, size: number): T {
  const next = new (old.constructor as new (n: number) => T)(size)
  next.set(old as never)
  return next
}
