import type { Control } from '../../../shared/machine.ts'
import type { Triple } from '../../../shared/setup.ts'

/** A working plane that lies askew on the part: program coordinates count in it. Plain data. */
export interface TiltedPlane {
  /** Turns plane coordinates into those of the work offset's frame, row by row. */
  readonly rotation: readonly number[]
  /** Its zero in the work offset's frame, mm, shifts included. */
  readonly origin: Triple
  /** The zero as the plane was laid, same frame; shifts of it by G52 and by G92 along the plane's own axes. */
  readonly laid: Triple
  readonly localShift: Triple
  readonly setPosition: Triple
}

export type PlaneAngles = NonNullable<Control['tiltedPlaneAngles']>

/** The trade's usual reading: about Z, then about X as turned so far, then about Z as turned so far. Common practice. */
export const usualPlaneAngles: PlaneAngles = { order: 'Z-X-Z', about: 'turned' }

/** `angles` in radians, in the order of the words. */
export function makeTiltedPlane(origin: Triple, angles: Triple, reading: PlaneAngles): TiltedPlane {
  const axes = reading.order.split('-').map(letter => 'XYZ'.indexOf(letter))
  const turns = axes.map((axis, n) => elementary(axis, angles[n] ?? 0))
  // About axes that turn along the later turn stands to the right, about fixed axes to the left.
  const rotation = turns.reduce((product, turn) => reading.about === 'turned' ? multiply(product, turn) : multiply(turn, product), [1, 0, 0, 0, 1, 0, 0, 0, 1])
  return planeAt(origin, rotation)
}

/**
 * The plane with its normal along `normal` and its X direction as near to `along` as it can be square to that. Undefined where
 * the two do not span a plane.
 */
export function layPlane(origin: Triple, along: Triple, normal: Triple): TiltedPlane | undefined {
  const z = unit(normal)
  if (z === undefined) return undefined
  const out = along[0] * z[0] + along[1] * z[1] + along[2] * z[2]
  const x = unit([along[0] - out * z[0], along[1] - out * z[1], along[2] - out * z[2]], LEAST_SPAN * Math.hypot(...along))
  if (x === undefined) return undefined
  const y = [z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0]] as const
  return planeAt(origin, [x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]])
}

/** Sine of the smallest angle at which two directions count as two: words have three or four places. */
const LEAST_SPAN = 1e-4

function unit(v: Triple, least = 0): Triple | undefined {
  const length = Math.hypot(...v)
  return length > least && length > 0 ? [v[0] / length, v[1] / length, v[2] / length] : undefined
}

function planeAt(origin: Triple, rotation: readonly number[]): TiltedPlane {
  return { rotation, origin, laid: origin, localShift: [0, 0, 0], setPosition: [0, 0, 0] }
}

/** The plane with its zero shifted along its own axes; mm. */
export function shiftPlane(plane: TiltedPlane, shift: Partial<Pick<TiltedPlane, 'localShift' | 'setPosition'>>): TiltedPlane {
  const shifted = { ...plane, ...shift }, way = Float64Array.from(shifted.localShift, (value, n) => value + (shifted.setPosition[n] ?? 0))
  turnOutOfPlane(plane, way)
  const [x, y, z] = plane.laid
  return { ...shifted, origin: [x + (way[0] ?? 0), y + (way[1] ?? 0), z + (way[2] ?? 0)] }
}

/** Turns a direction of the plane into the work offset's frame, in place. */
export function turnOutOfPlane(plane: TiltedPlane, v: Float64Array, at = 0): void {
  const r = plane.rotation, x = v[at] ?? 0, y = v[at + 1] ?? 0, z = v[at + 2] ?? 0
  for (let n = 0; n < 3; n++) v[at + n] = (r[n * 3] ?? 0) * x + (r[n * 3 + 1] ?? 0) * y + (r[n * 3 + 2] ?? 0) * z
}

/** The inverse of `turnOutOfPlane`. */
export function turnIntoPlane(plane: TiltedPlane, v: Float64Array, at = 0): void {
  const r = plane.rotation, x = v[at] ?? 0, y = v[at + 1] ?? 0, z = v[at + 2] ?? 0
  for (let n = 0; n < 3; n++) v[at + n] = (r[n] ?? 0) * x + (r[n + 3] ?? 0) * y + (r[n + 6] ?? 0) * z
}

/** Right-hand turn about X (0), Y (1) or Z (2), row by row. */
function elementary(axis: number, angle: number): number[] {
  const c = Math.cos(angle), s = Math.sin(angle)
  if (axis === 0) return [1, 0, 0, 0, c, -s, 0, s, c]
  if (axis === 1) return [c, 0, s, 0, 1, 0, -s, 0, c]
  return [c, -s, 0, s, c, 0, 0, 0, 1]
}

function multiply(a: readonly number[], b: readonly number[]): number[] {
  return Array.from({ length: 9 }, (_, i) => {
    const row = Math.floor(i / 3) * 3, column = i % 3
    return (a[row] ?? 0) * (b[column] ?? 0) + (a[row + 1] ?? 0) * (b[column + 3] ?? 0) + (a[row + 2] ?? 0) * (b[column + 6] ?? 0)
  })
}
