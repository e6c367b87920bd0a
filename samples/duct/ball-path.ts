import type { MeshDistance } from './mesh-distance.ts'
import { surfaceAt } from './surface.ts'
import type { Vector } from './tool-axis.ts'
import { toolAxisAt } from './tool-axis.ts'

/** One end point of the finishing path: the ball's centre and the tool's axis, part frame, mm. */
export interface PathPoint { readonly centre: Vector, readonly axis: Vector }

export const ballRadius = 2

/** The sector of the throat that lies under the lip, degrees from +X, and the passes across it. */
const sector = { from: -162, to: -18, passes: 110 }
/** Parameters of the section between which a pass runs: under the lip, and the end of the throat. */
const reach = { top: 20.6, bottom: 31, step: 0.025 }
/** The depth below the mesh the path aims at, and how far a straight block may stray from it, mm. */
const depth = 0.001
const chordTolerance = 0.0025
/** Longest block, mm, and largest turn of the axis in one, as a cosine. */
const longestBlock = 1
const largestTurn = Math.cos(1.5 * Math.PI / 180)

/** Zig-zag down and up the throat, pass beside pass, the ball touching the mesh all along. */
export function finishingPasses(distanceTo: MeshDistance): PathPoint[][] {
  const passes: PathPoint[][] = []
  for (let pass = 0; pass < sector.passes; pass++) {
    const azimuth = (sector.from + (sector.to - sector.from) * pass / (sector.passes - 1)) * Math.PI / 180
    const points = thinOut(touchingPoints(azimuth, distanceTo))
    passes.push(pass % 2 === 0 ? points : points.reverse())
  }
  return passes
}

/** Ball centres down one section of the throat, close together, each touching the mesh. */
function touchingPoints(azimuth: number, distanceTo: MeshDistance): PathPoint[] {
  const points: PathPoint[] = []
  const count = Math.round((reach.bottom - reach.top) / reach.step)
  let away = ballRadius
  for (let i = 0; i <= count; i++) {
    const { point, normal } = surfaceAt(azimuth, reach.top + (reach.bottom - reach.top) * i / count)
    let centre: Vector = point
    // The distance grows about as fast as the ball is drawn off, so this settles in a few rounds.
    for (let round = 0; round < 20; round++) {
      centre = [point[0] + away * normal[0], point[1] + away * normal[1], point[2] + away * normal[2]]
      const missing = ballRadius - depth - distanceTo(centre[0], centre[1], centre[2])
      if (Math.abs(missing) < 1e-5) break
      away += missing
    }
    points.push({ centre, axis: toolAxisAt(centre) })
  }
  return points
}

/** Keeps as few points as the tolerance allows, as the blocks of a program would. */
function thinOut(points: readonly PathPoint[]): PathPoint[] {
  const kept = [0]
  let from = 0
  while (from < points.length - 1) {
    let to = from + 1
    while (to + 1 < points.length && fits(points, from, to + 1)) to++
    kept.push(to)
    from = to
  }
  return evenOutEnd(points, kept).map(index => points[index])
}

/** The last block of a pass takes half of the one before it, rather than ending in a stub. */
function evenOutEnd(points: readonly PathPoint[], kept: readonly number[]): readonly number[] {
  if (kept.length < 3) return kept
  const [before, last] = [kept[kept.length - 3], kept[kept.length - 1]]
  const middle = Math.round((before + last) / 2)
  return fits(points, before, middle) && fits(points, middle, last) ? [...kept.slice(0, -2), middle, last] : kept
}

/** Whether one straight block from one point to another stays within the tolerance of those between. */
function fits(points: readonly PathPoint[], from: number, to: number): boolean {
  const a = points[from], b = points[to]
  const dx = b.centre[0] - a.centre[0], dy = b.centre[1] - a.centre[1], dz = b.centre[2] - a.centre[2]
  const square = dx * dx + dy * dy + dz * dz
  if (square > longestBlock * longestBlock) return false
  if (a.axis[0] * b.axis[0] + a.axis[1] * b.axis[1] + a.axis[2] * b.axis[2] < largestTurn) return false
  for (let i = from + 1; i < to; i++) {
    const p = points[i].centre
    const ex = p[0] - a.centre[0], ey = p[1] - a.centre[1], ez = p[2] - a.centre[2]
    const t = (ex * dx + ey * dy + ez * dz) / square
    const ox = ex - t * dx, oy = ey - t * dy, oz = ez - t * dz
    if (ox * ox + oy * oy + oz * oz > chordTolerance * chordTolerance) return false
  }
  return true
}
