import type { Component } from './finding.ts'
import type { Span } from './span.ts'

// The setup sheet and the machine file as the engine uses them: checked, complete,
// in millimetres, radians and seconds. The files' own form is in README.md.

/** Three numbers in a fixed frame, mm or a direction. */
export type Triple = readonly [number, number, number]

/** A mesh file and how it lies in the part frame: scaled to mm, turned about fixed X, Y, Z, then moved. */
export interface MeshPlacement {
  /** Path as resolved against the sheet's folder. */
  readonly path: string
  /** Millimetres for one unit of the file, where the file does not state its own: 1 or 25.4. */
  readonly scale: number
  /** Whether the sheet says this unit for the mesh; absent: it is the sheet's own. */
  readonly unitSaid?: true
  readonly translate: Triple
  /** Radians about the fixed X, then Y, then Z axes, before the translation. */
  readonly rotate: Triple
  /** Where the sheet names the mesh. */
  readonly span: Span
}

export interface Clearances {
  readonly neck: number
  readonly shank: number
  readonly holder: number
  readonly head: number
  readonly rapid: number
}

/** Lengths in mm, angle in radians. */
export interface Limits {
  /** Deepest cut allowed below the part's surface. */
  readonly gouge: number
  readonly stockToLeave: number
  readonly clearance: Clearances
  readonly leftover: number
  /** Largest turn of the tool axis in one cutting block. */
  readonly axisStep: number
}

/** The limits a sheet can change for some tools or blocks. */
export interface PartialLimits {
  readonly gouge?: number
  readonly stockToLeave?: number
  readonly clearance?: Partial<Clearances>
  readonly leftover?: number
  readonly axisStep?: number
}

/** The corrections of a path, in words of our own. */
export const corrections = ['back-off', 'lift', 'end-at', 'lean', 'aim', 'reach', 'ease'] as const

export type Correction = typeof corrections[number]

/** One correction of a plan and what it is to leave. Lengths mm. */
export interface MendStep {
  readonly by: Correction
  /** Components it corrects; absent: those the correction is made for. */
  readonly components?: readonly Component[]
  /** Deepest cut below the part's surface that it leaves; absent: what the limits allow. */
  readonly allow?: number
  /** Distance that its components keep from the part; absent: what the limits ask for. */
  readonly clearance?: number
  /** Name of the barrier at which the path ends; absent: any that is crossed. */
  readonly barrier?: string
  /** The point the axis is aimed at; absent: that of `axisThrough`. */
  readonly point?: Triple
  readonly span: Span
}

export interface Pass {
  /** Tool numbers it holds for; all when absent. */
  readonly tools?: readonly number[]
  /** Sequence numbers, without the N, of the first and last block; open when absent. */
  readonly from?: number
  readonly to?: number
  readonly limits: PartialLimits
  readonly axisThrough?: { readonly point: Triple, readonly within: number }
  readonly barriers?: readonly string[]
  readonly oneWay: boolean
  /** Corrections that a mend of this pass makes, in this order; absent: it finds the fewest. */
  readonly mend?: readonly MendStep[]
  readonly span: Span
}

/**
 * A straight run of a turned outline, or an arc, both upward in (radius, height), mm. Angles in radians
 * from the radial direction about the arc's centre; an arc that bulges outward runs to larger angles
 * between −π/2 and π/2, a hollow one to smaller angles between 3π/2 and π/2.
 */
export type OutlineStep =
  | { readonly kind: 'line', readonly from: readonly [number, number], readonly to: readonly [number, number] }
  | { readonly kind: 'arc', readonly centre: readonly [number, number], readonly radius: number, readonly fromAngle: number, readonly toAngle: number }

/** Symbols of ISO 13399; lengths mm, angles radians. DC is the largest diameter, LCF the height of the flutes' end above the tip. */
export type Cutter =
  | { readonly shape: 'flat', readonly DC: number, readonly LCF: number }
  | { readonly shape: 'ball', readonly DC: number, readonly LCF: number }
  | { readonly shape: 'bull', readonly DC: number, readonly RE: number, readonly LCF: number }
  /** RE at the tip (0: a plain cone on a flat tip is not meant; a sharp point), half angle BHTA, widest DC at the end of LCF. */
  | { readonly shape: 'taper', readonly RE: number, readonly BHTA: number, readonly DC: number, readonly LCF: number }
  | { readonly shape: 'drill', readonly DC: number, readonly SIG: number, readonly LCF: number }
  /** A ball of diameter DC down to where the neck DN meets it; the neck to LCF counts as cutter. */
  | { readonly shape: 'lollipop', readonly DC: number, readonly DN: number, readonly LCF: number }
  /** The seven parameters of ISO 3592, whose corner touches both lines. What lies above LCF, up to h, counts as neck. */
  | {
    readonly shape: 'apt', readonly DC: number, readonly LCF: number, readonly d: number, readonly r: number, readonly e: number, readonly f: number,
    readonly a: number, readonly b: number, readonly h: number,
  }
  /** Any outline that never goes down, from the tip at height 0. What lies above LCF counts as neck. */
  | { readonly shape: 'profile', readonly DC: number, readonly LCF: number, readonly outline: readonly OutlineStep[] }

export interface HolderSegment {
  readonly diameter: number
  readonly topDiameter: number
  readonly length: number
}

/** A solid of revolution about the tool axis, from the tip upward. */
export interface Tool {
  readonly number: number
  readonly name: string
  readonly cutter: Cutter
  /** From the end of the flutes to LU above the tip. */
  readonly neck?: { readonly DN: number, readonly LU: number }
  /** BHTA: half angle of the cone from neck to shank; absent: a square shoulder. */
  readonly shank?: { readonly DCONMS: number, readonly BHTA?: number }
  /** Stick-out: tip to the holder's face. */
  readonly LPR: number
  readonly holder: readonly HolderSegment[]
  readonly NOF?: number
  readonly centreCutting: boolean
  /** What the program positions: the tip, or the centre of the corner radius. */
  readonly point: 'tip' | 'centre'
  /** The H number that belongs to the tool. */
  readonly lengthOffset: number
  /** The D number that belongs to the tool; absent: its own number. */
  readonly radiusOffset?: number
  /** Added to half of DC for radius compensation, mm. */
  readonly radiusWear?: number
  /** Revolutions per minute. */
  readonly maxSpeed?: number
  /** mm per minute. */
  readonly maxFeed?: number
  readonly span: Span
}

/** A tool of the sheet that is left out of the contact search; the sheet's own problem says why. */
export interface ToolSetAside {
  readonly number: number
  readonly name: string
  readonly lengthOffset: number
  readonly span: Span
}

export type StockShape =
  | { readonly kind: 'box', readonly min: Triple, readonly max: Triple }
  | { readonly kind: 'cylinder', readonly diameter: number, readonly bottom: number, readonly top: number }
  | { readonly kind: 'mesh', readonly mesh: MeshPlacement }
  | { readonly kind: 'offset', readonly offset: number }
  /** What the programs of another sheet leave of its stock; its part frame is turned and moved into this one. */
  | { readonly kind: 'from', readonly path: string, readonly translate: Triple, readonly rotate: Triple }

export type Stock = StockShape & {
  /** Distance of the rays that the stock is followed on, mm; absent: chosen by size. */
  readonly pitch?: number
}

export interface Fixture {
  readonly name: string
  readonly mesh: MeshPlacement
  /** What every component keeps from it, mm. */
  readonly clearance: number
  /** Where the sheet states that; absent where it does not. */
  readonly clearanceSpan?: Span
}
export interface Barrier { readonly name: string, readonly mesh: MeshPlacement }

export interface Setup {
  readonly path: string
  /** Millimetres for one length unit of the sheet: 1 or 25.4. */
  readonly unit: number
  readonly programs: readonly string[]
  /** Resolved path; absent: the built-in table-table machine. */
  readonly machinePath?: string
  /** The work offset whose zero is the part frame's origin, for example G54. */
  readonly baseOffset: string
  /** Joint values of program zero by work offset and axis letter; mm and radians. */
  readonly offsets: Readonly<Record<string, Readonly<Record<string, number>>>>
  readonly part?: MeshPlacement
  readonly stock?: Stock
  readonly fixtures: readonly Fixture[]
  readonly barriers: readonly Barrier[]
  readonly limits: Limits
  readonly passes: readonly Pass[]
  readonly tools: readonly Tool[]
  /** Tools the sheet names that cannot be simulated: known to the setup, but not among `tools`. */
  readonly toolsSetAside?: readonly ToolSetAside[]
  /** Where the sheet states a limit, by dotted name: `limits.gouge`, `limits.clearance.holder`, `passes.0.limits.gouge`. */
  readonly spans: Readonly<Record<string, Span>>
}
