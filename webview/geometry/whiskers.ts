import type { MotionTable } from './motion-table.ts'
import { PoseReader } from './pose-reader.ts'

/** More would be a carpet. */
const MOST = 4000

/** The tool axis at the ends of motions all along the program, as lines of this length from the tool point; feed motions only. */
export function whiskers(table: MotionTable, length: number): Float32Array {
  const reader = new PoseReader(table)
  const stride = Math.max(1, Math.ceil(table.count / MOST))
  const lines: number[] = []
  for (let i = 0; i < table.count; i += stride) {
    if (table.isRapid(i) || !reader.go(i, 1)) continue
    const { px, py, pz, ax, ay, az } = reader.pose
    lines.push(px, py, pz, px + ax * length, py + ay * length, pz + az * length)
  }
  return Float32Array.from(lines)
}
