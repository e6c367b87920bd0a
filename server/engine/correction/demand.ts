import type { Component, Point } from '../../../shared/finding.ts'
import type { ComponentDistance } from '../contact/component-distance.ts'
import { leastNorm, type HalfSpace } from '../geometry/least-norm.ts'
import type { Station } from './stretch.ts'

/** What a station is moved by: its tool point in any direction or along its axis alone, or its axis about the tool point. */
export type Freedom = 'point' | 'axis-line' | 'turn'

/**
 * One place of a mesh that a component must keep from at one moment, in the words of a station's shift x: between the
 * station and the `other` end of the motion the shift at that moment is weight · x + (1 − weight) · other's.
 */
export interface Demand {
  /** The motion it came from, by its ends. */
  readonly from: Station
  readonly to: Station
  readonly weight: number
  /** Undefined: what the station does, the other end does too. */
  readonly other: Station | undefined
  /** Tool point and axis at that moment before the correction, and the point of the mesh; mm, part frame. */
  readonly pose: readonly [number, number, number, number, number, number]
  readonly point: Point
  readonly component: Component
  readonly wanted: number
}

/** Rounds of linearising; the distance bends little over a correction. */
const mostRounds = 24

/** mm and radians. Shifts nearer than this are one. */
const sameShift = 1e-9

/** Cosine below which moving along the axis gets no farther from a place. */
const noGain = 1e-4

/**
 * The least shift of a station with which all its demands are met, by linearising them where the shift has come to and
 * taking the shortest shift that meets the tangents. For a way of the tool point that is safe: the distance of a convex
 * body is convex, so it never falls below its tangent. False where nothing meets them; `x` is the shift, in and out.
 */
export function leastShift(x: Float64Array, demands: readonly Demand[], distance: ComponentDistance, freedom: Freedom, along: ArrayLike<number>): boolean {
  for (let round = 0; round < mostRounds; round++) {
    const spaces = demands.map(demand => tangent(x, demand, distance, freedom))
    const next = freedom === 'axis-line' ? alongLine(spaces, along) : leastNorm(spaces)
    if (next === undefined) return false
    const change = Math.hypot(next[0] - x[0], next[1] - x[1], next[2] - x[2])
    x.set(next)
    if (change < sameShift) return true
  }
  // A turn that goes to and fro between two tangents: it must at least meet what is asked.
  return demands.every(demand => valueAt(x, demand, distance, freedom) >= demand.wanted - 1e-6)
}

/** Distance the demand's component keeps from its place with this shift, mm. */
export function valueAt(x: ArrayLike<number>, demand: Demand, distance: ComponentDistance, freedom: Freedom): number {
  shiftOf(x, demand)
  return evaluate(demand, distance, freedom)
}

const shift = new Float64Array(3), axis = new Float64Array(3), gradient = new Float64Array(3), way = new Float64Array(3)

function shiftOf(x: ArrayLike<number>, { weight, other }: Demand): void {
  for (let n = 0; n < 3; n++) shift[n] = other === undefined ? x[n] : weight * x[n] + (1 - weight) * other.shift[n]
}

function evaluate({ pose, point, component }: Demand, distance: ComponentDistance, freedom: Freedom): number {
  axis[0] = pose[3]
  axis[1] = pose[4]
  axis[2] = pose[5]
  const moves = freedom !== 'turn'
  for (let n = 0; n < 3; n++) way[n] = point[n] - pose[n] - (moves ? shift[n] : 0)
  if (!moves) turnBy(shift, axis)
  return distance.at(component, way[0], way[1], way[2], axis[0], axis[1], axis[2])
}

function tangent(x: ArrayLike<number>, demand: Demand, distance: ComponentDistance, freedom: Freedom): HalfSpace {
  shiftOf(x, demand)
  const value = evaluate(demand, distance, freedom)
  if (freedom === 'turn') distance.turnGradient(way[0], way[1], way[2], axis[0], axis[1], axis[2], gradient)
  else {
    gradient[0] = -distance.gx
    gradient[1] = -distance.gy
    gradient[2] = -distance.gz
  }
  const share = demand.other === undefined ? 1 : demand.weight
  const normal: [number, number, number] = [share * gradient[0], share * gradient[1], share * gradient[2]]
  return { normal, bound: demand.wanted - value + normal[0] * x[0] + normal[1] * x[1] + normal[2] * x[2] }
}

/** The least way along a direction, forward only. */
function alongLine(spaces: readonly HalfSpace[], along: ArrayLike<number>): [number, number, number] | undefined {
  let least = 0, most = Infinity
  for (const { normal, bound } of spaces) {
    const gain = normal[0] * along[0] + normal[1] * along[1] + normal[2] * along[2]
    if (gain > noGain) least = Math.max(least, bound / gain)
    else if (gain < -noGain) most = Math.min(most, bound / gain)
    else if (bound > 0) return undefined
  }
  return least > most + sameShift ? undefined : [least * along[0], least * along[1], least * along[2]]
}

/** Turns v by a rotation vector (Rodrigues' formula). */
export function turnBy(by: ArrayLike<number>, v: Float64Array): void {
  const angle = Math.hypot(by[0], by[1], by[2])
  if (angle === 0) return
  const ex = by[0] / angle, ey = by[1] / angle, ez = by[2] / angle, s = Math.sin(angle), k = 1 - Math.cos(angle)
  const x = v[0], y = v[1], z = v[2]
  const ax = ey * z - ez * y, ay = ez * x - ex * z, az = ex * y - ey * x
  v[0] += s * ax + k * (ey * az - ez * ay)
  v[1] += s * ay + k * (ez * ax - ex * az)
  v[2] += s * az + k * (ex * ay - ey * ax)
}
