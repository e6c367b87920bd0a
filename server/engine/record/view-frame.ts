import type { Triple } from '../../../shared/setup.ts'

/** A plane to draw on: part frame, mm. `right`, `up` and `toward` (the reader) are unit vectors, square to each other. */
export interface ViewFrame {
  readonly origin: Triple
  readonly right: Triple
  readonly up: Triple
  readonly toward: Triple
}

/** Places nearer to each other than this have no direction between them, mm. */
const NO_WAY = 1e-6

/**
 * The plane through the tool's axis and a place beside it, the axis upright and the place to the right. Where the place
 * lies on the axis itself, `otherwise` says which way is right, and any direction does where that helps no more.
 */
export function planeOfTool(toolPoint: Triple, axis: Triple, place: Triple, otherwise: Triple): ViewFrame {
  const up = unit(axis) ?? [0, 0, 1]
  const right = unit(across(minus(place, toolPoint), up)) ?? unit(across(otherwise, up)) ?? unit(across([1, 0, 0], up)) ?? unit(across([0, 1, 0], up)) ?? [1, 0, 0]
  return { origin: toolPoint, right, up, toward: cross(right, up) }
}

/** Looking the other way than `toward`, Z upright; from above and from below, Y. */
export function viewFrom(origin: Triple, toward: Triple): ViewFrame {
  const out = unit(toward) ?? [0, 0, 1], right = unit(cross([0, 0, 1], out)) ?? [1, 0, 0]
  return { origin, right, up: cross(out, right), toward: out }
}

/** The middle of a box. */
export function middleOf(min: Triple, max: Triple): Triple {
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]
}

/** Place on the plane, and how far it stands before it, mm. */
export function seen({ origin, right, up, toward }: ViewFrame, place: Triple): Triple {
  const way = minus(place, origin)
  return [dot(way, right), dot(way, up), dot(way, toward)]
}

function across(way: Triple, axis: Triple): Triple {
  const along = dot(way, axis)
  return [way[0] - along * axis[0], way[1] - along * axis[1], way[2] - along * axis[2]]
}

function unit(way: Triple): Triple | undefined {
  const length = Math.hypot(...way)
  return length > NO_WAY ? [way[0] / length, way[1] / length, way[2] / length] : undefined
}

function minus(a: Triple, b: Triple): Triple {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

function dot(a: Triple, b: Triple): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

function cross(a: Triple, b: Triple): Triple {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
