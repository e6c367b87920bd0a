import type { Cancellation } from '../../shared/cancellation.ts'
import type { Component, Finding } from '../../shared/finding.ts'
import type { Kinematics } from '../../shared/kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Setup } from '../../shared/setup.ts'
import type { Toolpath } from '../../shared/toolpath.ts'

export { namedFiles, type NamedFiles } from './setup/named-files.ts'

// The engine's table of contents. It reads no files and knows no clock: whatever comes from
// outside is handed in. The language server, the command line and the tests are equal users.
// The order of work:
//   openSetup → (edge reads machine and meshes) → openScene → openMesh → readProgram → searchContact → contactFindings

/** A text file as the edge has read it. */
export interface TextFile { readonly path: string, readonly text: string }

/** A file the edge was asked for: its bytes, or in one sentence why there are none. */
export interface BinaryFile { readonly path: string, readonly bytes?: Uint8Array, readonly failure?: string }

/** Setup and machine together: plain data, may be cloned into a worker. */
export interface Scene {
  readonly setup: Setup | undefined
  readonly machine: Machine
  /** Findings in the sheet and the machine file. */
  readonly findings: readonly Finding[]
  /** False when the sheet or machine could not be used: contact is then not searched. */
  readonly usable: boolean
}

/** The part's triangles in the part frame with their tree, ready for the search; views on shared memory where there is any. */
export interface PartMesh {
  readonly triangleCount: number
  /** 9 numbers a triangle, mm, part frame, in the tree's order. */
  readonly corners: Float64Array
  readonly nodes: Float32Array
  readonly links: Int32Array
  readonly min: readonly [number, number, number]
  readonly max: readonly [number, number, number]
}

/** A program read and run through the control, before any mesh is looked at. */
export interface ReadProgram {
  readonly path: string
  readonly text: string
  /** Offset of each line's start; one more entry than lines. */
  readonly lineStarts: Uint32Array
  readonly blockCount: number
  readonly toolpath: Toolpath
  readonly kinematics: Kinematics
  /** Text, state and motion findings, in the order of the text, waivers applied. */
  readonly findings: readonly Finding[]
}

/** Certified figures of every motion against the part, component by component. Arrays hold count × 4, component fastest. */
export interface ContactFigures {
  readonly firstMotion: number
  readonly count: number
  /** Smallest signed distance over the whole motion: attained value, mm; negative: penetration. Infinity: farther than the search looked. */
  readonly value: Float64Array
  /** The true value lies in [value - width, value]. */
  readonly width: Float32Array
  /** Time of the worst moment in the motion, 0..1, and the point of the mesh there. */
  readonly time: Float32Array
  readonly point: Float32Array
}

export interface ContactOptions {
  /** Proven width of each figure, mm. */
  readonly epsilon: number
  readonly threads: number
  readonly cancellation: Cancellation
  /** Called after each run of motions. */
  readonly progress?: (done: number, total: number) => void
}

/** What `run.properties.toolwake.tools[]` reports: worst certified figure of a component. */
export interface WorstFigure { readonly value: number, readonly bound: number, readonly line: number }

export interface ToolSummary {
  readonly number: number
  readonly worst: Readonly<Partial<Record<Component, WorstFigure>>>
}

/** The whole answer about one program. */
export interface CheckResult {
  readonly program: ReadProgram
  readonly findings: readonly Finding[]
  readonly blocks: number
  readonly motions: number
  /** Estimated machine time. */
  readonly seconds: number
  readonly tools: readonly ToolSummary[]
  /** Extent and top rate of each axis, mm or degrees, per minute. */
  readonly axes: readonly { readonly letter: string, readonly min: number, readonly max: number, readonly topRate: number }[]
}
