/**
 * The casting's section in a half plane through its axis: a closed curve of (radius, height), the
 * metal on its left. It runs up the outer wall, over the flange and the raised lip, down the
 * throat that lies under it, and back along the foot. A uniform cubic B-spline through a ring of
 * control points, so that everything is rounded as cast. Lengths in mm.
 */
export interface SectionPoint {
  radius: number
  height: number
  /** How far this part of the section is pushed toward -Y: the throat runs off to one side of the mouth. */
  shift: number
  /** How bumpy the casting is here: the scale of its unevenness. */
  bump: number
  /** Unit normal out of the metal, in the half plane. */
  normalRadius: number
  normalHeight: number
}

/** Radius, height, shift, bump. */
type ControlPoint = readonly [number, number, number, number]

const outerWall: readonly ControlPoint[] = [
  [32, -51, 0, 0], [34, -49, 0, 0], [34.4, -45, 0, 0.02], [34.4, -39, 0, 0.05], [34.4, -33, 0, 0.05], [34.4, -27, 0, 0.05], [34.4, -21, 0, 0.05],
  [34.3, -16, 0, 0.05], [33.4, -13, 0, 0.05], [31, -11.6, 0, 0.1], [28, -11.2, 0, 0.15], [25, -11, 0, 0.2],
]

const raisedLip: readonly ControlPoint[] = [
  [22, -10.6, 0, 0.3], [19.6, -9, 0, 0.4], [17.9, -6.2, 0, 0.55], [16.4, -3, 0, 0.7], [14.4, -0.7, 0, 0.7], [12.2, 0.1, 0, 0.7], [10.2, -0.6, 0, 0.7],
  [9.1, -2.4, 0, 0.7], [8.9, -4.6, 0, 0.6], [9.6, -6.8, 0.1, 0.4],
]

const throat: readonly ControlPoint[] = [
  [11.4, -8.8, 0.3, 0.22], [13.2, -11, 0.6, 0.14], [14.4, -13.8, 1, 0.1], [14.8, -17, 1.4, 0.09], [14.6, -20.4, 1.8, 0.09], [14.1, -24, 2.1, 0.09],
  [13.5, -27.6, 2.4, 0.09], [12.9, -31.2, 2.6, 0.09], [12.4, -34.8, 2.8, 0.09], [12, -38.4, 2.9, 0.09], [11.9, -42, 3, 0.08], [12.6, -45.6, 3, 0.06],
]

const foot: readonly ControlPoint[] = [[14.6, -49, 2.5, 0.03], [18, -51, 1.5, 0], [22.5, -51.4, 0.7, 0], [27, -51.4, 0, 0]]

const controlPoints: readonly ControlPoint[] = [...outerWall, ...raisedLip, ...throat, ...foot]

/** Parameters run over [0, spans), one span of the spline to each control point. */
export const spans = controlPoints.length

/** Where the throat begins under the lip, as a parameter of the section. */
export const throatBegins = outerWall.length + raisedLip.length - 1

/** The section at a parameter; the parameter wraps round. */
export function sectionAt(parameter: number): SectionPoint {
  const wrapped = parameter - Math.floor(parameter / spans) * spans
  const first = Math.min(Math.floor(wrapped), spans - 1)
  const t = wrapped - first, s = 1 - t
  const weights = [s * s * s / 6, (3 * t * t * t - 6 * t * t + 4) / 6, (3 * s * s * s - 6 * s * s + 4) / 6, t * t * t / 6]
  const slopes = [-s * s / 2, (3 * t * t - 4 * t) / 2, (4 * s - 3 * s * s) / 2, t * t / 2]
  const value = [0, 0, 0, 0]
  let radiusSlope = 0, heightSlope = 0
  for (let i = 0; i < 4; i++) {
    const point = controlPoints[(first + i) % spans]
    for (let k = 0; k < 4; k++) value[k] += weights[i] * point[k]
    radiusSlope += slopes[i] * point[0]
    heightSlope += slopes[i] * point[1]
  }
  const length = Math.sqrt(radiusSlope * radiusSlope + heightSlope * heightSlope)
  return {
    radius: value[0], height: value[1], shift: value[2], bump: value[3],
    normalRadius: heightSlope / length, normalHeight: -radiusSlope / length,
  }
}
