import type { Kinematics } from '../../../shared/kinematics.ts'
import type { ComponentShape } from './assembly.ts'

/** Corners of the polygon that stands for a circle. */
const sides = 64

/** Share of its radius by which an arc of the outline, drawn in steps of 5 degrees, lies off its chords. */
const arcSagitta = 1 - Math.cos(Math.PI / 72)

/** A component as triangles that lie inside it, no deeper than `slack`. */
export interface LatheMesh {
  /** Nine numbers a triangle, in the frame of the spindle's link at rest. */
  readonly corners: Float64Array
  readonly slack: number
}

/** Turns a component's outline about the spindle axis. `length`: gauge point to tool point, mm. Undefined where the tool has no such component. */
export function latheMesh({ pieces }: ComponentShape, { gauge, axis }: Kinematics, length: number): LatheMesh | undefined {
  if (pieces.length === 0) return undefined
  const u = across(axis), v = cross(axis, u)
  const numbers: number[] = []
  let slack = 0
  for (const { points, radius } of pieces) {
    slack = Math.max(slack, radius * (1 - Math.cos(Math.PI / sides) + arcSagitta))
    const corner = (at: number, side: number) => {
      const [r, h] = points[at], angle = 2 * Math.PI * (side % sides) / sides
      const c = r * Math.cos(angle), s = r * Math.sin(angle)
      return [0, 1, 2].map(k => gauge[k] + (h - length) * axis[k] + c * u[k] + s * v[k])
    }
    for (let at = 0; at + 1 < points.length; at++) {
      for (let side = 0; side < sides; side++) {
        const [a, b, c, d] = [corner(at, side), corner(at, side + 1), corner(at + 1, side + 1), corner(at + 1, side)]
        if (points[at][0] > 0) numbers.push(...a, ...b, ...c)
        if (points[at + 1][0] > 0) numbers.push(...a, ...c, ...d)
      }
    }
  }
  return { corners: Float64Array.from(numbers), slack }
}

/** A unit vector square to a unit vector. */
function across([x, y, z]: readonly [number, number, number]): readonly [number, number, number] {
  const side = cross([x, y, z], Math.abs(x) < 0.6 ? [1, 0, 0] : [0, 1, 0]), size = Math.hypot(...side)
  return [side[0] / size, side[1] / size, side[2] / size]
}

function cross(a: readonly [number, number, number], b: readonly [number, number, number]): readonly [number, number, number] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
