import type { SectionLine, SectionPoint } from './mesh-section.ts'
import { fixed, lengthWords, roundLength } from './markup.ts'

/** A square piece of a plane and where it comes to stand in a picture. */
export interface Window {
  /** mm on the plane. */
  readonly middle: SectionPoint
  /** mm from side to side. */
  readonly size: number
  /** Picture units. */
  readonly left: number
  readonly side: number
}

/** What lies beside the window is cut off this share of its size farther out, so that the cut itself is never seen. */
const MARGIN = 0.1

/** A place of the plane in the picture. */
export function inPicture({ middle, size, left, side }: Window, [x, y]: SectionPoint): SectionPoint {
  const scale = side / size
  return [left + side / 2 + (x - middle[0]) * scale, side / 2 - (y - middle[1]) * scale]
}

/** The part of a line that can be seen, in the picture; for a closed line one closed line, else its pieces. Places too near each other to be told apart are left out. */
export function clipped(line: SectionLine, window: Window): { readonly points: readonly SectionPoint[], readonly closed: boolean }[] {
  const reach = window.size * (0.5 + MARGIN)
  const low: SectionPoint = [window.middle[0] - reach, window.middle[1] - reach], high: SectionPoint = [window.middle[0] + reach, window.middle[1] + reach]
  const pieces = line.closed ? [clippedArea(line.points, low, high)] : clippedPieces(line.points, low, high)
  return pieces.filter(points => points.length > 1).map(points => ({ points: thinned(points.map(point => inPicture(window, point)), NEAREST), closed: line.closed }))
}

/** Sutherland and Hodgman, Reentrant polygon clipping (1974). What runs along the edge of the box encloses nothing. */
function clippedArea(points: readonly SectionPoint[], low: SectionPoint, high: SectionPoint): readonly SectionPoint[] {
  let kept = points
  for (const k of [0, 1] as const) {
    for (const sign of [1, -1] as const) {
      const edge = sign > 0 ? low[k] : high[k], depth = (point: SectionPoint) => sign * (point[k] - edge)
      const next: SectionPoint[] = []
      kept.forEach((point, n) => {
        const before = kept[(n + kept.length - 1) % kept.length], a = depth(before), b = depth(point)
        if (a >= 0 !== b >= 0) next.push(between(before, point, a / (a - b)))
        if (b >= 0) next.push(point)
      })
      kept = next
    }
  }
  return kept
}

/** Stretches of an open line of which something lies in the box. */
function clippedPieces(points: readonly SectionPoint[], low: SectionPoint, high: SectionPoint): SectionPoint[][] {
  const pieces: SectionPoint[][] = []
  let open: SectionPoint[] | undefined
  for (let n = 1; n < points.length; n++) {
    const a = points[n - 1], b = points[n]
    if ([0, 1].some(k => Math.max(a[k], b[k]) < low[k] || Math.min(a[k], b[k]) > high[k])) {
      open = undefined
      continue
    }
    if (open === undefined) pieces.push(open = [a])
    open.push(b)
  }
  return pieces
}

function between(a: SectionPoint, b: SectionPoint, t: number): SectionPoint {
  return [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
}

/** Picture units. */
const NEAREST = 0.3

/** Without the places that are nearer than `least` to the last one kept; the last stays. */
export function thinned(points: readonly SectionPoint[], least: number): SectionPoint[] {
  const kept: SectionPoint[] = []
  points.forEach((point, n) => {
    const last = kept.at(-1)
    if (last === undefined || n === points.length - 1 || Math.hypot(point[0] - last[0], point[1] - last[1]) >= least) kept.push(point)
  })
  return kept
}

/** A scale bar at the lower left. */
export function scaleBar({ left, side, size }: Window): string {
  const length = roundLength(size / 4), width = length * side / size, y = side - 12
  return `<path class="scale" d="M${fixed(left + 12)} ${y - 4}V${y}H${fixed(left + 12 + width)}V${y - 4}"/><text class="scale-words" x="${fixed(left + 12)}" y="${y - 7}">${lengthWords(length)}</text>`
}
