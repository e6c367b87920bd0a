import type { Point } from '../../shared/finding.ts'

/** How the picture is cut open: square to an axis of the part frame, square to the tool's way, or along its axis. */
export type CutPlane = 'off' | 'x' | 'y' | 'z' | 'across' | 'along'

export interface Cut {
  readonly plane: CutPlane
  /** How far from the tool point, mm. */
  readonly shift: number
  /** The other side is taken away. */
  readonly turned: boolean
}

/** What is on the side of the normal beyond the offset is taken away. */
export interface Plane {
  readonly normal: Point
  readonly offset: number
}

/** `point`: where the cut goes through without a shift; axis and way of the tool where they are known, as any vectors. */
export function planeOf(cut: Cut, point: Point, axis: Point, way: Point): Plane | undefined {
  const normal = normalOf(cut.plane, axis, way)
  if (normal === undefined) return undefined
  const sign = cut.turned ? -1 : 1
  const through = dot(normal, point) + cut.shift
  return { normal: [sign * normal[0], sign * normal[1], sign * normal[2]], offset: sign * through }
}

function normalOf(plane: CutPlane, axis: Point, way: Point): Point | undefined {
  switch (plane) {
    case 'off':
      return undefined
    case 'x':
      return [1, 0, 0]
    case 'y':
      return [0, 1, 0]
    case 'z':
      return [0, 0, 1]
    case 'across': {
      // The plane holds the tool's axis: its normal is the way without its part along that.
      const along = dot(way, axis)
      return unit([way[0] - along * axis[0], way[1] - along * axis[1], way[2] - along * axis[2]]) ?? square(axis)
    }
    case 'along':
      return unit(cross(axis, way)) ?? square(axis)
    default:
      return plane satisfies never
  }
}

/** Some direction square to the axis, for a tool that does not move sideways. */
function square(axis: Point): Point | undefined {
  return unit(cross(axis, Math.abs(axis[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0]))
}

export function dot(a: Point, b: Point): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

function cross(a: Point, b: Point): Point {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

function unit(a: Point): Point | undefined {
  const size = Math.hypot(a[0], a[1], a[2])
  return size > 1e-9 ? [a[0] / size, a[1] / size, a[2] / size] : undefined
}
