import { endOfStep, startOfStep } from '../../../shared/cutter-outline.ts'
import type { OutlineStep } from '../../../shared/setup.ts'

// A convex solid of revolution, described by its outline in the (radius, height) half-plane from
// the axis at the bottom to the axis at the top. Its signed distance is
//   f(x) = max over all outward unit normals n of n · x − support(n),
// so it is convex and 1-Lipschitz, exact outside (nearest point) and inside (nearest face).

/** Numbers of one element. */
export const ELEMENT_STRIDE = 8

export const ElementKind = { line: 0, arc: 1 } as const

/**
 * Elements, ELEMENT_STRIDE numbers each:
 *   line: 0, normal r, normal h, offset d, –           f ≥ n · x − d
 *   arc:  1, centre r, centre h, radius, first normal r h, last normal r h
 *         f ≥ |x − c| − radius where x − c lies between the normals; a corner is an arc of radius 0.
 */
export interface ConvexOutline {
  readonly elements: Float64Array
  readonly count: number
  /** Axial extent and largest radius, mm. */
  readonly bottom: number
  readonly top: number
  readonly radius: number
  /** Points (radius, height) of the outline for drawing; arcs in steps of at most 5°. */
  readonly points: readonly (readonly [number, number])[]
}

/** Radians. Normals nearer than this are one: the outline is smooth there. */
export const angularTolerance = 1e-9

/**
 * Closes the steps into an outline: adds the flat bottom and top and the corners between steps.
 * Steps run upward, their normals turning from straight down (0, −1) to straight up (0, 1); angles
 * are measured from the radial direction, so −π/2 is down. Throws when the steps are not convex:
 * the caller has checked the tool.
 */
export function buildOutline(steps: readonly OutlineStep[]): ConvexOutline {
  const elements: number[] = []
  const points: [number, number][] = []
  let angle = -Math.PI / 2
  const corner = (r: number, h: number, to: number) => {
    if (to < angle - angularTolerance) throw new Error(`outline turns inward at radius ${r}, height ${h}`)
    if (to > angle + angularTolerance) elements.push(ElementKind.arc, r, h, 0, Math.cos(angle), Math.sin(angle), Math.cos(to), Math.sin(to))
    angle = to
  }
  const line = (from: readonly [number, number], to: readonly [number, number]) => {
    const dr = to[0] - from[0], dh = to[1] - from[1], length = Math.hypot(dr, dh)
    if (length < 1e-12) return
    // The outward normal of an upward run points to larger radius.
    const nr = dh / length, nh = -dr / length
    corner(from[0], from[1], Math.atan2(nh, nr))
    elements.push(ElementKind.line, nr, nh, nr * from[0] + nh * from[1], 0, 0, 0, 0)
    points.push([from[0], from[1]], [to[0], to[1]])
  }
  const first = steps[0], last = steps[steps.length - 1]
  const start = startOfStep(first), end = endOfStep(last)
  if (start[0] > 0) line([0, start[1]], start)
  for (const step of steps) {
    if (step.kind === 'line') {
      line(step.from, step.to)
      continue
    }
    if (step.radius <= 0) continue
    const [r, h] = startOfStep(step)
    corner(r, h, step.fromAngle)
    elements.push(ElementKind.arc, step.centre[0], step.centre[1], step.radius,
      Math.cos(step.fromAngle), Math.sin(step.fromAngle), Math.cos(step.toAngle), Math.sin(step.toAngle))
    const parts = Math.max(1, Math.ceil((step.toAngle - step.fromAngle) / (Math.PI / 36)))
    for (let i = 0; i <= parts; i++) {
      const at = step.fromAngle + (step.toAngle - step.fromAngle) * i / parts
      points.push([Math.max(0, step.centre[0] + step.radius * Math.cos(at)), step.centre[1] + step.radius * Math.sin(at)])
    }
    angle = step.toAngle
  }
  if (end[0] > 0) line(end, [0, end[1]])
  else corner(end[0], end[1], Math.PI / 2)
  return {
    elements: Float64Array.from(elements),
    count: elements.length / ELEMENT_STRIDE,
    bottom: Math.min(...points.map(point => point[1])),
    top: Math.max(...points.map(point => point[1])),
    radius: Math.max(...points.map(point => point[0])),
    points: points.filter((point, i) => i === 0 || Math.hypot(point[0] - points[i - 1][0], point[1] - points[i - 1][1]) > 1e-9),
  }
}
