import type { MotionPose } from '../../../shared/motion-pose.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import type { Component } from '../../../shared/finding.ts'
import type { MeshTree } from '../mesh/mesh-tree.ts'
import type { Assembly } from './assembly.ts'
import type { ObstacleName } from './near-figure.ts'

/** A motion that begins with a component inside the part, or inside what `against` names. */
export interface InsideStart {
  readonly motion: number
  readonly component: Component
  readonly against?: ObstacleName
  /** Part frame, mm: the point of the component that lies inside. */
  readonly point: readonly [number, number, number]
}

/**
 * Whether the assembly stands inside the mesh where this motion begins; undefined where it does not.
 * A body wholly inside touches no facet, so the contact search alone would call it clear; decided
 * once where a tool's path starts, contact cannot be missed after that, because the path is
 * continuous. `pose` has the motion in hand and is left at its start.
 */
export function startsInside(motion: number, pose: MotionPose, assembly: Assembly, tree: MeshTree): InsideStart | undefined {
  pose.at(0)
  for (const { component, pieces } of assembly.shapes) {
    const piece = pieces[0]
    if (piece === undefined) continue
    const h = (piece.bottom + piece.top) / 2
    const point = [pose.px + h * pose.ax, pose.py + h * pose.ay, pose.pz + h * pose.az] as const
    if (isInside(tree, point)) return { motion, component, point }
  }
  return undefined
}

/** Whether a tool's path starts with this motion: another tool, or the first motion whose start is known. */
export function isPathStart(toolpath: Toolpath, motion: number): boolean {
  const toolOf = (i: number) => i < 0 || (toolpath.flags[i] & MotionFlag.unknownStart) !== 0 ? -1 : toolpath.tool[i]
  return toolOf(motion) >= 0 && toolOf(motion) !== toolOf(motion - 1)
}

/**
 * Whether the mesh winds round the point: the solid angles of all facets add up to ±4π inside a
 * closed surface and to 0 outside (van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30, 1983);
 * for a mesh with small holes the sum stays near those, hence the threshold halfway.
 */
export function isInside(tree: MeshTree, point: readonly [number, number, number]): boolean {
  const [x, y, z] = point
  for (let k = 0; k < 3; k++) if (point[k] < tree.min[k] || point[k] > tree.max[k]) return false
  const c = tree.corners
  let sum = 0
  for (let i = 0; i < c.length; i += 9) {
    const ax = c[i] - x, ay = c[i + 1] - y, az = c[i + 2] - z
    const bx = c[i + 3] - x, by = c[i + 4] - y, bz = c[i + 5] - z
    const dx = c[i + 6] - x, dy = c[i + 7] - y, dz = c[i + 8] - z
    const la = Math.sqrt(ax * ax + ay * ay + az * az)
    const lb = Math.sqrt(bx * bx + by * by + bz * bz)
    const ld = Math.sqrt(dx * dx + dy * dy + dz * dz)
    const volume = ax * (by * dz - bz * dy) + ay * (bz * dx - bx * dz) + az * (bx * dy - by * dx)
    const rest = la * lb * ld + (ax * bx + ay * by + az * bz) * ld + (bx * dx + by * dy + bz * dz) * la + (dx * ax + dy * ay + dz * az) * lb
    sum += Math.atan2(volume, rest)
  }
  return Math.abs(sum) > Math.PI
}
