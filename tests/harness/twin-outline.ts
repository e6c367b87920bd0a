import type { Cutter } from '../../shared/setup.ts'
import type { ArcEdge, Edge, LineEdge, TwinSolid } from './twin-solid.ts'

// Cutters whose outline turns inward, a second time. Their body is the union of one convex solid for
// each run of the outline that only turns outward, which goes on straight where it was cut off, within
// the body. Here the body is a radius at every height, and the straight is followed in small steps.

type Place = readonly [radius: number, height: number]

export function line(from: Place, to: Place): LineEdge {
  return { kind: 'line', r0: from[0], h0: from[1], r1: to[0], h1: to[1] }
}

/** The edge of the whole cutter from the tip upward, without the flats that close it. Hollow arcs are not for the twin. */
export function outlineOf(cutter: Cutter & { readonly shape: 'lollipop' | 'apt' | 'profile' }): Edge[] {
  switch (cutter.shape) {
    case 'lollipop': {
      const R = cutter.DC / 2, n = cutter.DN / 2, meeting = Math.sqrt(R * R - n * n)
      return [{ kind: 'arc', r: 0, h: R, radius: R, from: -Math.PI / 2, to: Math.atan2(meeting, n) }, line([n, R + meeting], [n, cutter.LCF])]
    }
    case 'apt': {
      // From where the two lines meet, back along each by the length of a tangent to the corner.
      const { d, r, a, b, h } = cutter, meet: Place = [d / 2, d / 2 * Math.tan(a)]
      const t = r * Math.tan((Math.PI / 2 - a - b) / 2)
      const low: Place = [meet[0] - t * Math.cos(a), meet[1] - t * Math.sin(a)], high: Place = [meet[0] + t * Math.sin(b), meet[1] + t * Math.cos(b)]
      const centre: Place = [low[0] - r * Math.sin(a), low[1] + r * Math.cos(a)]
      const corner: Edge = { kind: 'arc', r: centre[0], h: centre[1], radius: r, from: a - Math.PI / 2, to: -b }
      return [line([0, 0], low), corner, line(high, [high[0] + (h - high[1]) * Math.tan(b), h])]
    }
    case 'profile':
      return cutter.outline.map(step => step.kind === 'line'
        ? line(step.from, step.to)
        : { kind: 'arc', r: step.centre[0], h: step.centre[1], radius: step.radius, from: step.fromAngle, to: step.toAngle })
  }
}

/** Signed distance solids of the part of an outline between two heights. */
export function solidsBetween(outline: readonly Edge[], bottom: number, top: number): TwinSolid[] {
  const edges = outline.flatMap(edge => between(edge, bottom, top))
  const whole = (h: number) => widestOf(edges, h)
  const solids: TwinSolid[] = []
  for (let first = 0; first < edges.length;) {
    let last = first
    while (last + 1 < edges.length && heading(edges[last + 1], 'start') > heading(edges[last], 'end') - 1e-7) last++
    solids.push(runSolid(edges.slice(first, last + 1), whole, bottom, top))
    first = last + 1
  }
  return solids
}

/** The whole body, whose own depth is that to its whole edge. */
export function wholeSolid(outline: readonly Edge[], bottom: number, top: number): TwinSolid {
  const first = place(outline[0], 'start'), last = place(outline[outline.length - 1], 'end')
  return { bottom, top, widest: h => widestOf(outline, h), edge: [line([0, bottom], first), ...outline, line(last, [0, top])] }
}

function runSolid(run: readonly Edge[], whole: (h: number) => number, bottom: number, top: number): TwinSolid {
  const start = place(run[0], 'start'), end = place(run[run.length - 1], 'end')
  const low = follow(start, heading(run[0], 'start'), whole, bottom), high = follow(end, heading(run[run.length - 1], 'end'), whole, top)
  const edges = [line(low, start), ...run, line(end, high)].filter(edge => edge.kind === 'arc' || Math.hypot(edge.r1 - edge.r0, edge.h1 - edge.h0) > 1e-9)
  return wholeSolid(edges, low[1], high[1])
}

/** Along the heading from a place, downward or upward to the limit, until the body ends. */
function follow(from: Place, angle: number, whole: (h: number) => number, limit: number): Place {
  const slope = Math.cos(angle) / Math.sin(angle)
  if (Math.abs(Math.sin(angle)) < 1e-6) return from
  const radius = (h: number) => from[0] + slope * (h - from[1])
  const isWithin = (h: number) => radius(h) >= 0 && radius(h) <= whole(h) + 1e-9
  const steps = 4000
  let good = from[1]
  for (let i = 1; i <= steps; i++) {
    const h = i === steps ? limit : from[1] + (limit - from[1]) * i / steps
    if (isWithin(h)) {
      good = h
      continue
    }
    let bad = h
    for (let halvings = 0; halvings < 60; halvings++) {
      const middle = (good + bad) / 2
      if (isWithin(middle)) good = middle
      else bad = middle
    }
    break
  }
  return [radius(good), good]
}

/** Direction of the way up: 0 is outward along the radius, a right angle straight up. */
function heading(edge: Edge, at: 'start' | 'end'): number {
  if (edge.kind === 'line') return Math.atan2(edge.h1 - edge.h0, edge.r1 - edge.r0)
  return (at === 'start' ? edge.from : edge.to) + Math.PI / 2
}

function place(edge: Edge, at: 'start' | 'end'): Place {
  if (edge.kind === 'line') return at === 'start' ? [edge.r0, edge.h0] : [edge.r1, edge.h1]
  const angle = at === 'start' ? edge.from : edge.to
  return [edge.r + edge.radius * Math.cos(angle), edge.h + edge.radius * Math.sin(angle)]
}

/** The part of an edge between the heights; flats at the heights themselves are left out. */
function between(edge: Edge, bottom: number, top: number): Edge[] {
  const low = place(edge, 'start')[1], high = place(edge, 'end')[1]
  if (high <= bottom + 1e-9 || low >= top - 1e-9) return high > low || low <= bottom || low >= top ? [] : [edge]
  if (edge.kind === 'line') {
    const radius = (h: number) => edge.r0 + (edge.r1 - edge.r0) * (h - edge.h0) / (edge.h1 - edge.h0)
    return [line(low < bottom ? [radius(bottom), bottom] : [edge.r0, edge.h0], high > top ? [radius(top), top] : [edge.r1, edge.h1])]
  }
  return [{ ...edge, from: low < bottom ? angleAt(edge, bottom) : edge.from, to: high > top ? angleAt(edge, top) : edge.to }]
}

function angleAt(arc: ArcEdge, height: number): number {
  return Math.asin((height - arc.h) / arc.radius)
}

function widestOf(edges: readonly Edge[], h: number): number {
  for (const edge of edges) {
    const low = place(edge, 'start')[1], high = place(edge, 'end')[1]
    if (h > high || high <= low) continue
    if (edge.kind === 'line') return edge.r0 + (edge.r1 - edge.r0) * (h - edge.h0) / (edge.h1 - edge.h0)
    return edge.r + Math.sqrt(Math.max(0, edge.radius ** 2 - (h - edge.h) ** 2))
  }
  return place(edges[edges.length - 1], 'end')[0]
}
