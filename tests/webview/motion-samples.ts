import { builtInMachine } from '../../server/engine/setup/built-in-machine.ts'
import { buildKinematics, jointsForToolPoint } from '../../shared/kinematics.ts'
import { MotionKind, ToolpathBuilder } from '../../shared/toolpath.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import { MotionTable } from '../../webview/geometry/motion-table.ts'

// Small programs on the built-in machine, for the tests of what the page works out from motions.

export const letters = builtInMachine.axes.map(axis => axis.letter)
export const kinematics = buildKinematics(builtInMachine, letters.map(() => 0))
export const GAUGE = 100

/** Joints that put the tip of a tool of length GAUGE on a point of the part, the rotary axes standing as given, radians. */
export function jointsAt(point: readonly [number, number, number], a = 0, c = 0): Float64Array {
  const joints = Float64Array.of(0, 0, 0, a, c)
  if (!jointsForToolPoint(kinematics, joints, GAUGE, ...point)) throw new Error('The built-in machine reaches every point.')
  return joints
}

export interface SampleMotion {
  readonly to: readonly [number, number, number]
  readonly a?: number
  readonly c?: number
  readonly line?: number
  readonly seconds?: number
  readonly flags?: number
  readonly tool?: number
  readonly kind?: number
}

/** Motions under tool-centre control from a point, each on a line of its own unless it says otherwise. */
export function programOf(from: readonly [number, number, number], motions: readonly SampleMotion[]): MotionTable {
  const builder = new ToolpathBuilder(letters, jointsAt(from, motions[0]?.a, motions[0]?.c))
  for (const [i, { to, a, c, line = i, seconds = 1, flags = 0, tool = 0, kind = MotionKind.toolLine }] of motions.entries()) {
    builder.push(kind, flags, line, tool, seconds, jointsAt(to, a, c))
  }
  return tableOf(builder.finish())
}

export function tableOf(path: Toolpath): MotionTable {
  return new MotionTable(path, { count: path.count, arcs: path.arcs.length / 12, axes: builtInMachine.axes, kinematics, lengths: [GAUGE, GAUGE], buffers: {} })
}
