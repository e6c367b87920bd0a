import { ARC_STRIDE } from '../../../shared/toolpath.ts'
import type { Plane } from './plane.ts'

// Centre and radius forms of an arc to one record. NISTIR 6556 3.5.3.

/** Largest difference of start and end radius: 0.002 mm or 0.0002 inch (NISTIR 6556 3.5.3), with room for rounding. */
const RADIUS_TOLERANCE_MM = 0.002 + 1e-9
const RADIUS_TOLERANCE_INCH_MM = 0.0002 * 25.4 + 1e-9

/** Points nearer than this are one point; far below what any control resolves, mm. */
const SAME_POINT = 1e-9

export interface ArcRequest {
  /** X Y Z of the programmed frame, mm. */
  readonly start: ArrayLike<number>
  readonly end: ArrayLike<number>
  readonly plane: Plane
  readonly clockwise: boolean
  /** Centre by coordinates of the plane, already absolute; or a radius with its sign. */
  readonly centre?: readonly [number, number]
  readonly radius?: number
  readonly inch: boolean
}

export type ArcFault =
  | { readonly kind: 'radius-mismatch', readonly startRadius: number, readonly endRadius: number, readonly tolerance: number }
  | { readonly kind: 'centre-at-start' }
  | { readonly kind: 'chord-too-long', readonly chord: number, readonly radius: number }
  | { readonly kind: 'radius-without-end' }
  | { readonly kind: 'no-centre' }

export interface ArcAnswer {
  /** The record of shared/toolpath.ts in the programmed frame; absent where no arc can be made. */
  readonly record?: Float64Array
  readonly fault?: ArcFault
  /** Sweep in radians, positive. */
  readonly sweep: number
  /** Along the arc with its rise, mm. */
  readonly length: number
}

/** The arc that was asked for, or the best there is with what is wrong about it. */
export function buildArc(request: ArcRequest): ArcAnswer {
  const { start, end, plane, clockwise } = request
  const x0 = value(start, plane.first), y0 = value(start, plane.second)
  const x1 = value(end, plane.first), y1 = value(end, plane.second)
  const centre = request.centre ?? (request.radius === undefined ? { kind: 'no-centre' as const } : centreFromRadius(x0, y0, x1, y1, request.radius, clockwise, tolerance(request)))
  if ('kind' in centre) return { fault: centre, sweep: 0, length: straight(start, end) }
  const [cx, cy] = centre
  const r0 = Math.hypot(x0 - cx, y0 - cy), r1 = Math.hypot(x1 - cx, y1 - cy)
  if (r0 < SAME_POINT) return { fault: { kind: 'centre-at-start' }, sweep: 0, length: straight(start, end) }
  const sweep = sweepOf(x0 - cx, y0 - cy, x1 - cx, y1 - cy, clockwise, Math.hypot(x1 - x0, y1 - y0) < SAME_POINT)
  const side = clockwise ? -1 : 1
  const ux = (x0 - cx) / r0, uy = (y0 - cy) / r0
  const record = new Float64Array(ARC_STRIDE)
  record[plane.first] = cx
  record[plane.second] = cy
  record[plane.third] = value(start, plane.third)
  record[3 + plane.first] = ux
  record[3 + plane.second] = uy
  record[6 + plane.first] = -side * uy
  record[6 + plane.second] = side * ux
  record[9] = sweep
  record[10] = r0
  record[11] = r1
  const rise = value(end, plane.third) - value(start, plane.third)
  const length = Math.hypot((r0 + r1) / 2 * sweep, r1 - r0, rise)
  const limit = tolerance(request)
  // A given radius puts the centre at the same distance from both ends.
  if (request.centre !== undefined && Math.abs(r1 - r0) > limit) {
    return { record, sweep, length, fault: { kind: 'radius-mismatch', startRadius: r0, endRadius: r1, tolerance: limit } }
  }
  return { record, sweep, length }
}

/**
 * Centre of the arc with |radius| through both points: the way round that is at most a half turn
 * for a positive radius, more for a negative one. In the plane, to the left of start → end lies the
 * centre of the short counterclockwise arc.
 */
function centreFromRadius(x0: number, y0: number, x1: number, y1: number, radius: number, clockwise: boolean, slack: number): [number, number] | ArcFault {
  const dx = x1 - x0, dy = y1 - y0, chord = Math.hypot(dx, dy), r = Math.abs(radius)
  if (chord < SAME_POINT) return { kind: 'radius-without-end' }
  if (chord > 2 * r + slack) return { kind: 'chord-too-long', chord, radius: r }
  const height = Math.sqrt(Math.max(0, r * r - chord * chord / 4))
  const side = (clockwise ? -1 : 1) * (radius < 0 ? -1 : 1)
  return [(x0 + x1) / 2 - side * height * dy / chord, (y0 + y1) / 2 + side * height * dx / chord]
}

/** From the start's direction to the end's the way the arc runs, in (0, 2π]. */
function sweepOf(ax: number, ay: number, bx: number, by: number, clockwise: boolean, isFullCircle: boolean): number {
  if (isFullCircle) return 2 * Math.PI
  const cross = ax * by - ay * bx, dot = ax * bx + ay * by
  const turned = Math.atan2(clockwise ? -cross : cross, dot)
  return turned > 0 ? turned : turned + 2 * Math.PI
}

function tolerance(request: ArcRequest): number {
  return request.inch ? RADIUS_TOLERANCE_INCH_MM : RADIUS_TOLERANCE_MM
}

function straight(a: ArrayLike<number>, b: ArrayLike<number>): number {
  return Math.hypot(value(b, 0) - value(a, 0), value(b, 1) - value(a, 1), value(b, 2) - value(a, 2))
}

function value(of: ArrayLike<number>, index: number): number {
  return of[index] ?? Number.NaN
}
