import type { Component } from '../../shared/finding.ts'
import type { Cutter, Tool } from '../../shared/setup.ts'
import { line, outlineOf, solidsBetween } from './twin-outline.ts'

// The tool assembly a second time, from the setup sheet's description: each solid of revolution by
// its radius at every height and by the lines and arcs of its edge. Signed distance = distance to
// the edge, negative inside. Nothing of the engine is used here but its plain data.

type Place = readonly [radius: number, height: number]

/** A piece of the edge in the (radius, height) half-plane; an arc runs from one angle up to another, 0 being radially outward. */
export type Edge = LineEdge | ArcEdge
export interface LineEdge { readonly kind: 'line', readonly r0: number, readonly h0: number, readonly r1: number, readonly h1: number }
export interface ArcEdge { readonly kind: 'arc', readonly r: number, readonly h: number, readonly radius: number, readonly from: number, readonly to: number }

/** One solid, convex but for an outline that is given so; heights above the programmed tool point, mm. */
export interface TwinSolid {
  readonly bottom: number
  readonly top: number
  /** Radius at a height between bottom and top. */
  readonly widest: (height: number) => number
  readonly edge: readonly Edge[]
}

/** The solids of each component. */
export function twinSolids(tool: Tool): Record<Component, readonly TwinSolid[]> {
  const { cutter, neck, shank, holder, LPR } = tool
  const lift = tool.point === 'tip' ? 0 : centreHeight(cutter)
  const solids: Record<Component, TwinSolid[]> = { cutter: [], neck: [], shank: [], holder: [] }
  let below: number, cutterEnd = cutter.LCF
  if (cutter.shape === 'lollipop' || cutter.shape === 'apt' || cutter.shape === 'profile') {
    const outline = outlineOf(cutter), top = outline[outline.length - 1]
    if (top.kind === 'line') [below, cutterEnd] = [top.r1, top.h1]
    else [below, cutterEnd] = [top.r + top.radius * Math.cos(top.to), top.h + top.radius * Math.sin(top.to)]
    solids.cutter.push(...solidsBetween(outline, 0, Math.min(cutter.LCF, cutterEnd)))
    if (cutterEnd > cutter.LCF) solids.neck.push(...solidsBetween(outline, cutter.LCF, cutterEnd))
  } else {
    const cutting = cutterSolid(cutter)
    below = cutting.widest(cutter.LCF)
    solids.cutter.push(cutting)
  }
  const neckTop = neck === undefined ? cutterEnd : Math.max(cutterEnd, neck.LU)
  if (neckTop > cutterEnd && neck !== undefined) {
    below = neck.DN / 2
    solids.neck.push(stack([[below, cutterEnd], [below, neckTop]]))
  }
  if (LPR > neckTop) solids.shank.push(shankSolid(below, neckTop, LPR, (shank?.DCONMS ?? 2 * below) / 2, shank?.BHTA))
  let height = LPR
  for (const { diameter, topDiameter, length } of holder) {
    solids.holder.push(stack([[diameter / 2, height], [topDiameter / 2, height + length]]))
    height += length
  }
  const raise = (list: readonly TwinSolid[]) => list.map(solid => lowered(solid, lift))
  return { cutter: raise(solids.cutter), neck: raise(solids.neck), shank: raise(solids.shank), holder: raise(solids.holder) }
}

/** Signed distance of a place in the half-plane, radius ≥ 0. */
export function signedDistance(solid: TwinSolid, r: number, h: number): number {
  let nearest = Infinity
  for (const edge of solid.edge) nearest = Math.min(nearest, edge.kind === 'line' ? toLine(edge, r, h) : toArc(edge, r, h))
  const inside = h > solid.bottom && h < solid.top && r < solid.widest(h)
  return inside ? -nearest : nearest
}

function toLine(edge: LineEdge, r: number, h: number): number {
  const dr = edge.r1 - edge.r0, dh = edge.h1 - edge.h0, square = dr * dr + dh * dh
  const along = square === 0 ? 0 : Math.min(1, Math.max(0, ((r - edge.r0) * dr + (h - edge.h0) * dh) / square))
  return length(r - edge.r0 - along * dr, h - edge.h0 - along * dh)
}

function toArc(arc: ArcEdge, r: number, h: number): number {
  const x = r - arc.r, y = h - arc.h, angle = Math.atan2(y, x)
  if (angle >= arc.from && angle <= arc.to) return Math.abs(length(x, y) - arc.radius)
  const toEnd = (at: number) => length(x - arc.radius * Math.cos(at), y - arc.radius * Math.sin(at))
  return Math.min(toEnd(arc.from), toEnd(arc.to))
}

function length(x: number, y: number): number {
  return Math.sqrt(x * x + y * y)
}

/** Of the middle of the cutter's round above its tip. */
function centreHeight(cutter: Cutter): number {
  if (cutter.shape === 'ball' || cutter.shape === 'lollipop') return cutter.DC / 2
  if (cutter.shape === 'apt') return cutter.r > 0 ? cutter.f : 0
  return 'RE' in cutter ? cutter.RE : 0
}

type PlainCutter = Exclude<Cutter, { readonly shape: 'lollipop' | 'apt' | 'profile' }>

function cutterSolid(cutter: PlainCutter): TwinSolid {
  const R = cutter.DC / 2, top = cutter.LCF
  switch (cutter.shape) {
    case 'flat':
      return stack([[R, 0], [R, top]])
    case 'drill':
      return stack([[0, 0], [R, R / Math.tan(cutter.SIG / 2)], [R, top]])
    case 'ball':
      return rounded(0, R, 0, [[R, R], [R, top]])
    case 'bull':
      return rounded(R - cutter.RE, cutter.RE, 0, [[R, cutter.RE], [R, top]])
    case 'taper': {
      const { RE, BHTA } = cutter
      const touch: Place = [RE * Math.cos(BHTA), RE * (1 - Math.sin(BHTA))]
      const coneTop = touch[1] + (R - touch[0]) / Math.tan(BHTA)
      const flank: Place[] = coneTop < top
        ? [touch, [R, coneTop], [R, top]]
        : [touch, [touch[0] + (top - touch[1]) * Math.tan(BHTA), top]]
      return RE === 0 ? stack(flank) : rounded(0, RE, BHTA, flank)
    }
  }
}

/** A neck's end widens to the shank by the cone's half angle, by a square shoulder where none is given. */
function shankSolid(below: number, from: number, to: number, radius: number, halfAngle: number | undefined): TwinSolid {
  if (halfAngle === undefined || radius <= below) return stack([[radius, from], [radius, to]])
  const coneTop = from + (radius - below) / Math.tan(halfAngle)
  return coneTop < to
    ? stack([[below, from], [radius, coneTop], [radius, to]])
    : stack([[below, from], [below + (to - from) * Math.tan(halfAngle), to]])
}

/** Frusta on top of one another, closed by a flat bottom and top. */
function stack(places: readonly Place[]): TwinSolid {
  const first = places[0], last = places[places.length - 1]
  const edge: Edge[] = [line([0, first[1]], first), line(last, [0, last[1]])]
  for (let i = 1; i < places.length; i++) edge.push(line(places[i - 1], places[i]))
  return { bottom: first[1], top: last[1], widest: h => between(places, h), edge }
}

/** A quarter of a circle (less `until`, the angle at which the flank takes over) about (offset, radius), and frusta above it. */
function rounded(offset: number, radius: number, until: number, flank: readonly Place[]): TwinSolid {
  const above = stack(flank)
  const arc: Edge = { kind: 'arc', r: offset, h: radius, radius, from: -Math.PI / 2, to: -until }
  const edge = [arc, line([0, 0], [offset, 0]), ...above.edge.slice(1)]
  const widest = (h: number) => h < flank[0][1] ? offset + Math.sqrt(Math.max(0, radius * radius - (radius - h) ** 2)) : between(flank, h)
  return { bottom: 0, top: above.top, widest, edge }
}

/** Radius of the frusta at a height. */
function between(places: readonly Place[], h: number): number {
  for (let i = 1; i < places.length; i++) {
    const low = places[i - 1], high = places[i]
    if (h <= high[1] && high[1] > low[1]) return low[0] + (high[0] - low[0]) * (h - low[1]) / (high[1] - low[1])
  }
  return places[places.length - 1][0]
}

function lowered(solid: TwinSolid, lift: number): TwinSolid {
  if (lift === 0) return solid
  return {
    bottom: solid.bottom - lift,
    top: solid.top - lift,
    widest: h => solid.widest(h + lift),
    edge: solid.edge.map(edge => edge.kind === 'line' ? { ...edge, h0: edge.h0 - lift, h1: edge.h1 - lift } : { ...edge, h: edge.h - lift }),
  }
}
