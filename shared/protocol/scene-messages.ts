import type { Component, ContactProperties, Level, Point } from '../finding.ts'
import type { Kinematics } from '../kinematics.ts'

// What the picture shows of a program: the server's answer to `toolwake/scene`. Lines are 0-based as in the editor's protocol; lengths mm,
// directions in the part frame. Arrays are named by the keys of their buffers.

export interface SceneDescription {
  readonly uri: string
  /** Version of the document that was read. */
  readonly version: number
  /** Millimetres for one unit of the figures to show: 1 or 25.4. */
  readonly unit: number
  /** Absent where there is no setup sheet, no mesh in it, or the mesh cannot be read; `notes` says which. */
  readonly part?: PartDescription
  /** What stands around the part; those whose mesh cannot be read are left out, and their findings say why. */
  readonly bodies: readonly BodyDescription[]
  /** The stock before the first block, where its form is one of these. */
  readonly stock?: StockShape
  readonly path: PathDescription
  /** The motions themselves; absent where there are none. */
  readonly motions?: MotionsDescription
  /** Absent until the contact search has come to its end. */
  readonly contact?: ContactDescription
  readonly tools: readonly ToolOutline[]
  /** Findings of the text and of the contact search so far, in the order of the text. */
  readonly findings: readonly SceneFinding[]
  /** Sentences for the user about what is not shown and why. */
  readonly notes: readonly string[]
}

export interface PartDescription {
  readonly name: string
  readonly triangles: number
  /** Buffer: Float32Array, 9 numbers a triangle, part frame. The key changes with the contents. */
  readonly positions: string
  readonly min: Point
  readonly max: Point
}

/** A fixture, a barrier or a body of the machine. */
export interface BodyDescription {
  readonly kind: 'fixture' | 'barrier' | 'machine'
  readonly name: string
  readonly triangles: number
  /** Buffer: Float32Array, 9 numbers a triangle; part frame, a machine body's in the machine frame with every joint at zero. */
  readonly positions: string
  /** Joint that carries a machine body: its place in `MotionsDescription.axes`. */
  readonly joint?: number
}

/** Part frame, mm. */
export type StockShape =
  | { readonly kind: 'box', readonly min: Point, readonly max: Point }
  | { readonly kind: 'cylinder', readonly diameter: number, readonly bottom: number, readonly top: number }

/** The packed motions of `shared/toolpath.ts`, and what is needed to work out poses of them. */
export interface MotionsDescription {
  readonly count: number
  readonly arcs: number
  readonly axes: readonly AxisDescription[]
  readonly kinematics: Omit<Kinematics, 'linearInverse'>
  /** Gauge point to tool point by tool index, mm. */
  readonly lengths: readonly number[]
  /** Keys of the buffers, by the field of `Toolpath` each one holds; those a program does not need are absent. */
  readonly buffers: Readonly<Partial<Record<keyof typeof motionArrays, string>>>
}

/** What each buffer of the motions holds, and how many numbers for each motion; a width of nil depends on the program. */
export const motionArrays = {
  kind: { of: Uint8Array, width: 1 },
  flags: { of: Uint8Array, width: 1 },
  line: { of: Uint32Array, width: 1 },
  tool: { of: Uint8Array, width: 1 },
  seconds: { of: Float32Array, width: 1 },
  /** (count + 1) × axes. */
  joints: { of: Float64Array, width: 0 },
  arcOf: { of: Int32Array, width: 1 },
  /** arcs × ARC_STRIDE. */
  arcs: { of: Float64Array, width: 0 },
  callOf: { of: Int32Array, width: 1 },
  ownLine: { of: Int32Array, width: 1 },
  pass: { of: Uint32Array, width: 1 },
} as const

/** mm and radians, per second. */
export interface AxisDescription {
  readonly letter: string
  readonly kind: 'linear' | 'rotary'
  readonly range?: readonly [number, number]
  readonly rapid?: number
  readonly maxFeed?: number
}

/** What the search of the whole program has found, motion by motion; four components a motion, in the order of `components`. */
export interface ContactDescription {
  /** Buffer: Float32Array, the smallest signed distance attained, mm; infinite: farther than the search looked. NaN: not searched. */
  readonly value: string
  /** Buffer: Float32Array, what the true distance is proven not to be below, mm. */
  readonly certified: string
  /** Buffer: Float32Array, the point of the part's mesh there, three numbers a component. */
  readonly points: string
  /** Limits in force, each from a motion on to the next entry's. */
  readonly limits: readonly LimitsFrom[]
}

/**
 * Smallest distance allowed to each component in feed and in rapids, in the order of `components`, mm; negative: a depth that is
 * allowed. Feed motions that only turn a rotary axis, away from the cut, have an entry of their own: they keep the clearance of rapids.
 */
export interface LimitsFrom {
  readonly motion: number
  readonly feed: readonly number[]
  readonly rapid: readonly number[]
}

/**
 * The path as one run of vertices; segment i joins vertices i - 1 and i and belongs to vertex i.
 * Curved motions are sampled; the chord error is for the eye only, nothing is decided by it.
 */
export interface PathDescription {
  readonly vertices: number
  /** Buffer: Float32Array, x y z of each vertex. The key changes with the contents. */
  readonly positions: string
  /** Buffer: Uint32Array, the 0-based line whose motion ends in or runs through the vertex. */
  readonly lines: string
  /** Buffer: Uint8Array, PathFlag bits of the segment that ends in the vertex. */
  readonly flags: string
  /** Buffer: Uint32Array, the motion of that segment. */
  readonly motions: string
}

export const PathFlag = {
  /** Not a feed move. */
  rapid: 1,
  /** No segment ends here: the run starts anew (first vertex, or the start was not known). */
  start: 2,
  /** A rapid whose block does not run straight: each axis goes at its own rate, or the way has several legs. */
  dogLeg: 4,
} as const

/** Outlines of the assembly, tool frame: origin in the programmed tool point, height along the axis to the spindle. */
export interface ToolOutline {
  readonly number: number
  readonly name: string
  readonly parts: readonly {
    readonly component: Component
    /** (radius, height) from the tip upward, sampled for the eye. */
    readonly outline: readonly (readonly [number, number])[]
  }[]
}

export interface SceneFinding {
  readonly rule: string
  readonly level: Level
  readonly message: string
  /** Lines it spans, first and last, both included; and the line to show. */
  readonly firstLine: number
  readonly lastLine: number
  readonly line: number
  /** Where on the mesh; absent for findings of the text. */
  readonly point?: Point
  /** The figures of a contact finding. */
  readonly contact?: Pick<ContactProperties, 'component' | 'against' | 'depth' | 'clearance' | 'bound' | 'allowed' | 'toolPoint' | 'toolAxis'>
  /** The bounds cannot decide. */
  readonly open?: boolean
  /** A reviewer's comment covers it; the reason given. */
  readonly waiver?: string
}

/** Another version of the program beside the one that is shown, read with the same sheet and machine. */
export interface OtherVersion {
  readonly name: string
  /** Where it is this version as a mend would have it, and so the later one: what the mend does, in words. */
  readonly mend?: string
  /** The other version's path. */
  readonly path: PathDescription
  /** Neighbouring motions that run another way, in the order of the program. */
  readonly changes: readonly MotionChange[]
  /** Motions that both versions have. */
  readonly sameMotions: number
  /** Stretches that run the same way, written in other blocks. */
  readonly rewritten: number
}

/** Motions [first, end) in each version; none where it has nothing in their place. */
export interface MotionChange {
  readonly old: { readonly first: number, readonly end: number }
  readonly new: { readonly first: number, readonly end: number }
  /** 0-based lines of this version, first and last; absent where it has nothing there. */
  readonly lines?: readonly [number, number]
  /** Greatest distance of the tool points, mm, as attained and as proven not to be exceeded; absent where it is not known. */
  readonly apart?: { readonly value: number, readonly atMost: number }
  /** Greatest angle between the tool axes, radians, in the same way. */
  readonly turned?: { readonly value: number, readonly atMost: number }
}
