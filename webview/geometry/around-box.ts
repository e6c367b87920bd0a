import type { MotionsDescription, SceneDescription } from '../../shared/protocol/scene-messages.ts'
import type { MotionTable } from './motion-table.ts'
import { joinBoxes } from './path-geometry.ts'
import type { Box } from './path-geometry.ts'
import { linkInPart } from './pose-reader.ts'

interface Around {
  readonly description: Pick<SceneDescription, 'bodies' | 'stock'>
  readonly bodies: ReadonlyMap<string, Float32Array>
  readonly motions: MotionTable | undefined
}

/** The box of the stock and of everything around the part, bodies of the machine wherever the program's first and last joints carry them. */
export function aroundBox({ description, bodies, motions }: Around): Box | undefined {
  let box = stockBox(description.stock)
  for (const { kind, joint, positions } of description.bodies) {
    const own = boxOfCorners(bodies.get(positions) ?? new Float32Array(0))
    if (own === undefined) continue
    if (kind !== 'machine') box = joinBoxes(box, own)
    else if (motions !== undefined) for (const row of [0, motions.count]) box = joinBoxes(box, carried(own, motions.kinematics, joint, jointsOf(motions, row)))
  }
  return box
}

function stockBox(stock: SceneDescription['stock']): Box | undefined {
  if (stock === undefined || stock.kind === 'box') return stock
  const radius = stock.diameter / 2
  return { min: [-radius, -radius, stock.bottom], max: [radius, radius, stock.top] }
}

function jointsOf({ path }: MotionTable, row: number): Float64Array {
  return path.joints.subarray(row * path.axes.length, (row + 1) * path.axes.length)
}

/** Undefined where the joints are not known. */
function carried({ min, max }: Box, kinematics: MotionsDescription['kinematics'], joint: number | undefined, joints: Float64Array): Box | undefined {
  const [x, y, z, origin] = linkInPart(kinematics, joint, joints)
  if (!Number.isFinite(origin[0] + origin[1] + origin[2] + x[0])) return undefined
  const corners = new Float32Array(24)
  for (let corner = 0; corner < 8; corner++) {
    const [a, b, c] = [0, 1, 2].map(k => ((corner >> k) & 1) === 0 ? min[k] : max[k])
    for (let k = 0; k < 3; k++) corners[corner * 3 + k] = origin[k] + a * x[k] + b * y[k] + c * z[k]
  }
  return boxOfCorners(corners)
}

function boxOfCorners(corners: Float32Array): Box | undefined {
  const min: [number, number, number] = [Infinity, Infinity, Infinity], max: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  for (let i = 0; i < corners.length; i++) {
    const axis = i % 3
    if (corners[i] < min[axis]) min[axis] = corners[i]
    if (corners[i] > max[axis]) max[axis] = corners[i]
  }
  return min[0] <= max[0] ? { min, max } : undefined
}
