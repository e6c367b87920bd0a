/** Where the tool leans as it goes down the throat: its axis runs through a point of the mouth. */

export type Vector = readonly [number, number, number]

/** Height of the narrowest place of the mouth, mm. */
const mouthHeight = -4

/** How far from the mouth's middle the axis passes, by height of the ball's centre: close where the ball lies right under the lip, again where the holder comes down into the mouth. */
const passDistances: readonly (readonly [height: number, distance: number])[] = [[-9, 2.2], [-16, 4], [-27, 4.8], [-42, 0.6]]

/** Azimuth of the sector's middle, and how far the axis follows the ball round it: toward the ends it leans a little to the middle. */
const middle = -Math.PI / 2
const sideways = 0.7

/** Unit vector from the ball's centre to the spindle, part frame. */
export function toolAxisAt(centre: Vector): Vector {
  const azimuth = middle + sideways * (Math.atan2(centre[1], centre[0]) - middle)
  const distance = distanceAt(centre[2])
  const x = distance * Math.cos(azimuth) - centre[0], y = distance * Math.sin(azimuth) - centre[1], z = mouthHeight - centre[2]
  const length = Math.sqrt(x * x + y * y + z * z)
  return [x / length, y / length, z / length]
}

/**
 * Rotary words for a tool axis, degrees, on a table with A under C whose signs follow ISO 841 (the
 * words give the tool's turn relative to the work): the axis is Rz(C) Rx(A) applied to +Z. Of the
 * two solutions, the one that leans the table to the operator (A negative).
 */
export function rotaryWords(axis: Vector): { a: number, c: number } {
  const degrees = 180 / Math.PI
  return { a: -Math.atan2(Math.sqrt(axis[0] * axis[0] + axis[1] * axis[1]), axis[2]) * degrees, c: Math.atan2(-axis[0], axis[1]) * degrees }
}

/** Smooth steps between the table's heights. */
function distanceAt(height: number): number {
  for (let i = 1; i < passDistances.length; i++) {
    const [upper, from] = passDistances[i - 1], [lower, to] = passDistances[i]
    if (height < lower) continue
    const t = Math.min(1, Math.max(0, (upper - height) / (upper - lower)))
    return from + (to - from) * t * t * (3 - 2 * t)
  }
  return passDistances[passDistances.length - 1][1]
}
