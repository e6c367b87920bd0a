import { neverCancelled } from '../../shared/cancellation.ts'
import { buildKinematics, jointsForToolPoint, type Kinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Tool, Triple } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionKind, ToolpathBuilder, type Toolpath } from '../../shared/toolpath.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import { Engagement } from '../../server/engine/stock/engagement.ts'
import { MotionCutter } from '../../server/engine/stock/motion-cutter.ts'
import { widestPitch } from '../../server/engine/stock/grid-frame.ts'
import type { StockGrid } from '../../server/engine/stock/stock-grid.ts'
import { linear, machineOf, rotary } from '../contact/machines.ts'

// A tool at a place and a lean of one's choice, on a fork-head machine under tool-centre control.

export interface CutPose { readonly point: Triple, readonly axis?: Triple }

export const forkHead = machineOf({
  name: 'fork head, C carries B', table: '', head: 'XYZCB',
  axes: [linear('X', [1, 0, 0]), linear('Y', [0, 1, 0]), linear('Z', [0, 0, 1]), rotary('B', [0, 1, 0]), rotary('C', [0, 0, 1])],
})

export const forkKinematics: Kinematics = buildKinematics(forkHead, [0, 0, 0, 0, 0])

/** Straight feed moves from pose to pose; the first is where the tool stands. */
export function pathThrough(tool: Tool, poses: readonly CutPose[]): Toolpath {
  const rows = poses.map(({ point, axis = [0, 0, 1] }) => {
    // In the plane of X and Z the B axis alone leans the tool, to either side.
    const [b, c] = axis[1] === 0 ? [Math.atan2(axis[0], axis[2]), 0] : [Math.acos(Math.min(1, Math.max(-1, axis[2]))), Math.atan2(axis[1], axis[0])]
    const joints = Float64Array.of(0, 0, 0, b, c)
    jointsForToolPoint(forkKinematics, joints, gaugeLength(tool), ...point)
    return joints
  })
  const builder = new ToolpathBuilder(forkHead.axes.map(axis => axis.letter), rows[0])
  rows.slice(1).forEach((row, i) => builder.push(MotionKind.toolLine, 0, i, 0, 1, row))
  return builder.finish()
}

/** Cuts all motions of a path with the cutting part of the tool; answers the volume that each took, mm³. */
export function cutPath(grid: StockGrid, tool: Tool, path: Toolpath, kinematics: Kinematics = forkKinematics): { volumes: number[], shortfall: number } {
  const assembly = buildAssembly(tool), pose = new MotionPose(kinematics, path, [assembly.gaugeLength])
  const cutter = new MotionCutter(grid, assembly.shapes[0], neverCancelled), engagement = new Engagement()
  const volumes: number[] = []
  for (let i = 0; i < path.count; i++) {
    pose.begin(i)
    engagement.begin(pose.speed, widestPitch(grid.frame))
    cutter.cut(pose, engagement)
    volumes.push(engagement.volume)
  }
  return { volumes, shortfall: cutter.shortfall }
}
