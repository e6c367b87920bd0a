import type { Span } from '../../../shared/span.ts'
import type { PlaneParts } from './plane-parts.ts'
import type { TiltedPlane } from './tilted-plane.ts'

/** What a fixed cycle keeps from one block to the next: millimetres and seconds. Replaced, never changed. */
export interface CycleWords {
  /** Position along the cycle's axis where the series of cycles began. */
  readonly start: number
  /** Level R and bottom, in the programmed frame. */
  readonly level: number
  readonly bottom: number
  /** Bottom as programmed: a depth below R while positions are incremental. */
  readonly depth: number | undefined
  readonly peck: number | undefined
  readonly dwell: number | undefined
  /** I J K of G76 and G87, as programmed. */
  readonly shift: readonly [number, number, number] | undefined
}

/**
 * What stays in force from block to block. Plain data: `structuredClone` makes a checkpoint.
 * Lengths mm, angles radians, times seconds. `undefined` means: never set by the program.
 */
export interface ModalState {
  /** Group 1: 0, 1, 2, 3, 80 or a cycle's number. */
  motion: number | undefined
  plane: 17 | 18 | 19 | undefined
  distance: 90 | 91 | undefined
  /** 93 inverse time, 94 per minute, 95 per revolution. */
  feedMode: 93 | 94 | 95 | undefined
  /** Millimetres for one programmed length unit: 1 or 25.4; undefined: not stated (the setup's unit is taken). */
  unit: number | undefined
  radiusCompensation: 40 | 41 | 42 | undefined
  /** 43 on, 49 off. */
  lengthCompensation: 43 | 49 | undefined
  toolCentre: boolean
  /** Tool-centre control is on and I J K of straight moves give the tool axis. */
  toolVector: boolean
  /** The tilted working plane in force. */
  tiltedPlane: TiltedPlane | undefined
  /** What has been said so far of a plane that several blocks lay; undefined: none is being laid. */
  planeParts: PlaneParts | undefined
  /** H number in force and the word that set it. */
  lengthOffset: number | undefined
  lengthOffsetSpan: Span | undefined
  /** Number of the tool in the spindle; and of the one preselected by T. */
  tool: number | undefined
  selectedTool: number | undefined
  /** Name of the work offset in force, for example `G54`. */
  workOffset: string | undefined
  cycleReturn: 98 | 99 | undefined
  /** Revolutions per minute as programmed. */
  speed: number | undefined
  spindle: 'clockwise' | 'counterclockwise' | 'stopped'
  coolant: boolean
  /** Last F as written (unit of its mode: programmed length or degrees per minute, 1/min, per revolution) and the mode it was given in. */
  feed: number | undefined
  feedGivenIn: 93 | 94 | 95 | undefined
  /** Joint values, mm and radians, in joint order; NaN where not known. */
  joints: number[]
  /** Programmed position in the active frame by axis letter, mm and radians. */
  position: Record<string, number>
  /**
   * The code in force whose effect on positions is not simulated, for example `G68`; while it holds, motion is not
   * checked and joints are NaN.
   */
  unsimulated: string | undefined
  /** Work offsets the program has written, by name: joint values. The arrays are replaced, never changed. */
  writtenOffsets: Readonly<Record<string, readonly number[]>> | undefined
  /** Shift of all work offsets by G92 and by G52, joint values; undefined: none. */
  setPosition: readonly number[] | undefined
  localShift: readonly number[] | undefined
  /** What G92.3 takes up again. */
  keptPosition: readonly number[] | undefined
  /** Path control: 60, 61, 61.1, 62, 63 or 64. */
  pathControl: number | undefined
  /** D number in force. */
  radiusOffset: number | undefined
  /** Words of the cycle in force that stay, as programmed, and the levels they gave; undefined: no cycle. */
  cycle: CycleWords | undefined
  /** M2 or M30 (or the second lone %) has been read. */
  ended: boolean
}
