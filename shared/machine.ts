import type { MeshPlacement, Triple } from './setup.ts'

/** One axis of the machine, in mm, radians and seconds. Directions are those of the physical motion. */
export interface Axis {
  /** The address letter: X, Y, Z, A, B, C, U, V or W. */
  readonly letter: string
  readonly kind: 'linear' | 'rotary'
  /** Unit vector, machine frame, every joint at zero. */
  readonly direction: Triple
  /** A point of a rotary axis; unused for a linear one. */
  readonly through: Triple
  /** Travel; undefined where the axis has no end. */
  readonly range?: readonly [number, number]
  /** Top rates per second, mm/s or rad/s; undefined where the file does not say. */
  readonly rapid?: number
  readonly maxFeed?: number
  /** m/s² for linear axes, rad/s² for rotary ones. */
  readonly acceleration?: number
}

/** How this control keeps and writes variables, as data. */
export interface VariableControl {
  /** What a common variable holds that the program has not set: whatever the control still has, or nought. */
  readonly unset: 'unknown' | 'zero'
  /** Whether `#<name>` is a variable. */
  readonly named: boolean
  /** Highest number; absent: numbers beyond 5399 are taken for the control's own. */
  readonly last?: number
  /** Letters of the axes in the order of the position and offset variables. */
  readonly axes: string
  /** FIX and FUP: down and up, or towards zero and away from it. */
  readonly fix: 'down' | 'toward-zero'
  /** Whether a sign may stand before a bracket or a variable. */
  readonly signBefore: boolean
  /** Other spellings of functions: `{ "SQR": "SQRT" }`. */
  readonly spellings: Readonly<Record<string, string>>
}

/** What this control's codes mean, as data. */
export interface Control {
  readonly inch: readonly string[]
  readonly metric: readonly string[]
  readonly toolCentreOn: readonly string[]
  readonly toolVectorOn: readonly string[]
  readonly toolCentreOff: readonly string[]
  readonly tiltedPlaneOn: readonly string[]
  readonly orientTool: readonly string[]
  readonly tiltedPlaneOff: readonly string[]
  /** Axes that I J K of a tilted plane turn about, in this order: as turned so far, or fixed. Absent: Z-X-Z as turned. */
  readonly tiltedPlaneAngles?: { readonly order: string, readonly about: 'turned' | 'fixed' }
  /** Which P of `tiltedPlaneOn` lay the plane in several blocks, numbered by Q: by three points, or by its X direction and its normal. */
  readonly tiltedPlaneForms?: Readonly<Record<string, 'points' | 'vectors'>>
  /** What G52 and G92 do inside a tilted plane: shift its zero along its own axes until the plane ends; absent: not known. */
  readonly tiltedPlaneShift?: 'in-plane' | 'unknown'
  /** What each P of `orientTool` asks for: the nearer way to hold the tool, or the tilting axis on one side. */
  readonly orientChoice?: Readonly<Record<string, 'nearest' | 'positive' | 'negative'>>
  /** Seconds the control needs to take in a block; absent: not known. */
  readonly blockTime?: number
  readonly inverseTime: 'per-minute' | 'seconds'
  readonly dwell: Readonly<Record<string, 'milliseconds' | 'seconds'>>
  readonly wholeNumber: { readonly as: 'units' } | { readonly as: 'increments', readonly increment: number }
  readonly arcCentre: 'incremental' | 'absolute'
  readonly rotaryTravel: Readonly<Record<string, 'as-written' | 'shortest' | 'sign-is-direction'>>
  readonly rapid: 'each-axis' | 'straight'
  /** Codes of these features; an empty list where the control has none. */
  readonly returnLevel?: readonly string[]
  readonly subprogram?: readonly string[]
  readonly macro?: readonly string[]
  readonly cycles?: readonly string[]
  /** Absent: the usual ones; false: the control has no variables. */
  readonly variables?: VariableControl | false
  /** Whether the control has IF, GOTO and WHILE; absent: it has. */
  readonly jumps?: boolean
  /** How deep calls may stand in each other; absent: 10. */
  readonly callDepth?: number
  /** What an inside corner under radius compensation does; absent: the tool goes to the point where both paths meet. */
  readonly insideCorner?: 'intersect' | 'error'
  /** Numbers of the block skip switches that are on, 1 for a plain `/`; absent: none, every block runs. */
  readonly blockSkip?: readonly number[]
  /** Codes without effect on motion. */
  readonly neutral: readonly string[]
  readonly define: Readonly<Record<string, { readonly says: string, readonly effect: 'none' | 'stop' | 'rotary-clamp' }>>
}

/** A solid part of the machine that rides on an axis. */
export interface MachineBody {
  readonly name: string
  /** Index into `axes` of the link that carries it. */
  readonly on: number
  readonly mesh: MeshPlacement
}

export interface Machine {
  readonly name: string
  /** Path of the file; undefined for the built-in machine. */
  readonly path?: string
  /** Joint order of the whole program is the order of this list. */
  readonly axes: readonly Axis[]
  /** Indices into `axes`, from the machine's base to the workpiece. */
  readonly table: readonly number[]
  /** Indices into `axes`, from the base to the spindle. */
  readonly head: readonly number[]
  /** Gauge point and spindle axis, machine frame, every joint at zero. */
  readonly spindle: { readonly gauge: Triple, readonly axis: Triple }
  /** Joint values where a program starts and where G28 goes; undefined: the start is unknown. */
  readonly home?: readonly number[]
  /** Joint values where G30 goes. */
  readonly secondHome?: readonly number[]
  readonly bodies?: readonly MachineBody[]
  readonly control: Control
}
