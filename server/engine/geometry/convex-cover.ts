import { chordCount, endOfStep, isHollow, startOfStep } from '../../../shared/cutter-outline.ts'
import type { OutlineStep } from '../../../shared/setup.ts'
import { angularTolerance, buildOutline, type ConvexOutline } from './convex-outline.ts'

// Any solid of revolution whose outline never goes down is the union of convex ones: one for each
// run of the outline that turns outward only. Where the outline turns inward, the run goes on along
// its tangent, inside the solid, as far as it stays there, so that neighbours overlap deeply and no
// plane between them counts as a surface. A hollow arc is taken as its chords, which lie outside it.

export interface ConvexCover {
  readonly pieces: readonly ConvexOutline[]
  /** mm. The pieces' union holds the solid and nowhere stands farther off it; 0 where it is the solid. */
  readonly excess: number
  /** Points (radius, height) of the outline as given, for drawing. */
  readonly points: readonly (readonly [number, number])[]
}

/** Radians. Arcs are drawn in steps of at most this, unless somebody looks closer. */
export const usualDrawnStep = Math.PI / 36

/** Steps run upward from the tip, each beginning where the last one ended, heights never falling. `drawnStep`: of arcs in `points`. */
export function coverByConvex(steps: readonly OutlineStep[], drawnStep = usualDrawnStep): ConvexCover {
  let excess = 0
  const straight: OutlineStep[] = []
  for (const step of steps) {
    if (step.kind === 'arc' && isHollow(step)) {
      const sweep = step.fromAngle - step.toAngle, count = chordCount(step.radius, sweep)
      excess = Math.max(excess, step.radius * (1 - Math.cos(sweep / count / 2)))
      straight.push(...chordsOf(step, count))
    } else if (!isPoint(step)) {
      straight.push(step)
    }
  }
  const pieces: ConvexOutline[] = []
  for (let first = 0; first < straight.length;) {
    let last = first
    while (last + 1 < straight.length && firstNormal(straight[last + 1]) >= lastNormal(straight[last]) - angularTolerance) last++
    pieces.push(buildOutline(runOn(straight, first, last)))
    first = last + 1
  }
  return { pieces, excess, points: steps.flatMap(step => drawnPoints(step, drawnStep)) }
}

function drawnPoints(step: OutlineStep, widest: number): (readonly [number, number])[] {
  if (step.kind === 'line') return [step.from, step.to]
  const parts = Math.max(1, Math.ceil(Math.abs(step.toAngle - step.fromAngle) / widest))
  return Array.from({ length: parts + 1 }, (_, i) => endOfStep({ ...step, toAngle: step.fromAngle + (step.toAngle - step.fromAngle) * i / parts }))
}

/** Too short to have a direction: what rounding leaves between two lengths that are one. */
function isPoint(step: OutlineStep): boolean {
  if (step.kind === 'arc') return step.radius <= 0 || step.toAngle === step.fromAngle
  return Math.hypot(step.to[0] - step.from[0], step.to[1] - step.from[1]) < 1e-9
}

function chordsOf(arc: OutlineStep & { readonly kind: 'arc' }, count: number): OutlineStep[] {
  const place = (i: number) => i === count ? endOfStep(arc) : startOfStep({ ...arc, fromAngle: arc.fromAngle + (arc.toAngle - arc.fromAngle) * i / count })
  return Array.from({ length: count }, (_, i): OutlineStep => ({ kind: 'line', from: place(i), to: place(i + 1) }))
}

/** Angle of the outward normal from the radial direction where the step begins. */
function firstNormal(step: OutlineStep): number {
  return step.kind === 'arc' ? step.fromAngle : lineNormal(step)
}

function lastNormal(step: OutlineStep): number {
  return step.kind === 'arc' ? step.toAngle : lineNormal(step)
}

function lineNormal({ from, to }: OutlineStep & { readonly kind: 'line' }): number {
  return Math.atan2(from[0] - to[0], Math.max(0, to[1] - from[1]))
}

/** The run [first, last] with its tangents below and above. */
function runOn(steps: readonly OutlineStep[], first: number, last: number): OutlineStep[] {
  const run = steps.slice(first, last + 1)
  const start = startOfStep(steps[first]), end = endOfStep(steps[last])
  const below = tangentEnd(steps, first - 1, -1, start, firstNormal(steps[first]))
  const above = tangentEnd(steps, last + 1, 1, end, lastNormal(steps[last]))
  if (below[1] < start[1]) {
    const head = run[0]
    if (head.kind === 'line') run[0] = { ...head, from: below }
    else run.unshift({ kind: 'line', from: below, to: start })
  }
  if (above[1] > end[1]) {
    const tail = run[run.length - 1]
    if (tail.kind === 'line') run[run.length - 1] = { ...tail, to: above }
    else run.push({ kind: 'line', from: end, to: above })
  }
  return run
}

/**
 * Where the tangent at `at` leaves the solid or meets the axis, followed from the step `next` on,
 * downward (-1) or upward (1).
 */
function tangentEnd(steps: readonly OutlineStep[], next: number, way: -1 | 1, at: readonly [number, number], normal: number): readonly [number, number] {
  // A flat has no tangent to follow, neither has one that is flat but for rounding.
  if (Math.abs(normal) > Math.PI / 2 - 1e-6) return at
  const slope = -Math.tan(normal)
  const radiusAt = (h: number) => at[0] + slope * (h - at[1])
  let height = at[1]
  for (let i = next; i >= 0 && i < steps.length; i += way) {
    const crossing = crossingIn(steps[i], way, radiusAt)
    if (crossing !== undefined) {
      height = crossing
      break
    }
    height = (way < 0 ? startOfStep(steps[i]) : endOfStep(steps[i]))[1]
  }
  const apex = at[1] - at[0] / slope
  if (slope * way < 0 && (way < 0 ? apex > height : apex < height)) return [0, apex]
  return [Math.max(0, radiusAt(height)), height]
}

/** Height at which the line leaves the solid within the step, which it enters inside; undefined where it does not. */
function crossingIn(step: OutlineStep, way: -1 | 1, radiusAt: (h: number) => number): number | undefined {
  const [near, far] = way < 0 ? [endOfStep(step), startOfStep(step)] : [startOfStep(step), endOfStep(step)]
  const gapFar = far[0] - radiusAt(far[1])
  if (gapFar >= 0) return undefined
  const gapNear = Math.max(0, near[0] - radiusAt(near[1]))
  if (step.kind === 'line') return near[1] + gapNear / (gapNear - gapFar) * (far[1] - near[1])
  // Radius over height bulges along the arc, so the gap changes its sign once.
  let inside = way < 0 ? step.toAngle : step.fromAngle, outside = way < 0 ? step.fromAngle : step.toAngle
  for (let halvings = 0; halvings < 60; halvings++) {
    const middle = (inside + outside) / 2, [r, h] = startOfStep({ ...step, fromAngle: middle })
    if (r >= radiusAt(h)) inside = middle
    else outside = middle
  }
  return startOfStep({ ...step, fromAngle: inside })[1]
}
