import type { Cutter, OutlineStep } from './setup.ts'

// The outline of every cutter shape in the (radius, height) half-plane, from the tip upward; mm and
// radians, heights above the tip. The flat bottom and the flat top are left to whoever closes it.

const down = -Math.PI / 2

/** How far straight chords may stand off a hollow arc, mm: a tenth of the default width of a proven interval. */
export const HOLLOW_TOLERANCE = 2e-4

/** Places nearer than this are one, mm. */
const SAME_PLACE = 1e-12

/** The whole cutter, also what lies above its flutes where the shape describes it. */
export function cutterOutline(cutter: Cutter): OutlineStep[] {
  const radius = cutter.DC / 2
  switch (cutter.shape) {
    case 'flat':
      return [{ kind: 'line', from: [radius, 0], to: [radius, cutter.LCF] }]
    case 'ball':
      return roundedEnd(radius, radius, cutter.LCF)
    case 'bull':
      return roundedEnd(radius, cutter.RE, cutter.LCF)
    case 'drill': {
      const tip = radius / Math.tan(cutter.SIG / 2)
      return [
        { kind: 'line', from: [0, 0], to: [radius, tip] },
        { kind: 'line', from: [radius, tip], to: [radius, cutter.LCF] },
      ]
    }
    case 'taper': {
      // A ball of radius RE runs tangentially into a cone of half angle BHTA: the tangent point lies
      // at angle −BHTA on the ball (facts of the seven-parameter cutter statement, ISO 3592: r3 b5° touches at radius 2.988584).
      const { RE, BHTA, LCF } = cutter
      const touch: readonly [number, number] = [RE * Math.cos(BHTA), RE - RE * Math.sin(BHTA)]
      const coneTop = touch[1] + (radius - touch[0]) / Math.tan(BHTA)
      const steps: OutlineStep[] = [{ kind: 'arc', centre: [0, RE], radius: RE, fromAngle: down, toAngle: -BHTA }]
      if (coneTop >= LCF - 1e-9) {
        steps.push({ kind: 'line', from: touch, to: [touch[0] + (LCF - touch[1]) * Math.tan(BHTA), LCF] })
      } else {
        steps.push({ kind: 'line', from: touch, to: [radius, coneTop] }, { kind: 'line', from: [radius, coneTop], to: [radius, LCF] })
      }
      return steps
    }
    case 'lollipop': {
      const neck = cutter.DN / 2, up = Math.acos(neck / radius)
      return [
        { kind: 'arc', centre: [0, radius], radius, fromAngle: down, toAngle: up },
        { kind: 'line', from: [neck, radius + radius * Math.sin(up)], to: [neck, cutter.LCF] },
      ]
    }
    case 'apt':
      return sevenParameterOutline(cutter)
    case 'profile':
      return [...cutter.outline]
    default:
      return cutter satisfies never
  }
}

/** The seven parameters of the cutter statement of ISO 3592; lengths mm, angles radians. */
export interface SevenParameters {
  readonly d: number
  readonly r: number
  readonly e: number
  readonly f: number
  readonly a: number
  readonly b: number
  readonly h: number
}

/**
 * A lower line from the tip at angle a to the plane across the axis, a corner of radius r about
 * (e, f) that touches it, and an upper line at angle b to the axis, up to height h. The parameter d
 * only says once more where the two lines would meet.
 */
export function sevenParameterOutline({ r, e, f, a, b, h }: SevenParameters): OutlineStep[] {
  const low: readonly [number, number] = [Math.max(0, e + r * Math.sin(a)), f - r * Math.cos(a)]
  const high: readonly [number, number] = [e + r * Math.cos(b), f - r * Math.sin(b)]
  const steps: OutlineStep[] = []
  if (low[0] > SAME_PLACE) steps.push({ kind: 'line', from: [0, 0], to: low })
  if (r > 0) steps.push({ kind: 'arc', centre: [e, f], radius: r, fromAngle: a + down, toAngle: -b })
  if (h > high[1]) steps.push({ kind: 'line', from: high, to: [high[0] + (h - high[1]) * Math.tan(b), h] })
  return cutAtHeight(steps, h).below
}

/** Parts an outline in two; a flat at the height itself belongs to neither, since it closes both. */
export function cutAtHeight(steps: readonly OutlineStep[], height: number): { below: OutlineStep[], above: OutlineStep[] } {
  const below: OutlineStep[] = [], above: OutlineStep[] = []
  for (const step of steps) {
    const from = startOfStep(step), to = endOfStep(step)
    if (to[1] <= height + SAME_PLACE) {
      if (from[1] < height - SAME_PLACE || to[1] < height - SAME_PLACE) below.push(step)
    } else if (from[1] >= height - SAME_PLACE) above.push(step)
    else if (step.kind === 'line') {
      const t = (height - from[1]) / (to[1] - from[1])
      const at: readonly [number, number] = [from[0] + t * (to[0] - from[0]), height]
      below.push({ ...step, to: at })
      above.push({ ...step, from: at })
    } else {
      const rise = Math.asin(Math.min(1, Math.max(-1, (height - step.centre[1]) / step.radius)))
      const at = isHollow(step) ? Math.PI - rise : rise
      below.push({ ...step, toAngle: at })
      above.push({ ...step, fromAngle: at })
    }
  }
  return { below, above }
}

export function startOfStep(step: OutlineStep): readonly [number, number] {
  return step.kind === 'line' ? step.from : onArc(step.centre, step.radius, step.fromAngle)
}

export function endOfStep(step: OutlineStep): readonly [number, number] {
  return step.kind === 'line' ? step.to : onArc(step.centre, step.radius, step.toAngle)
}

/** An arc whose centre lies outside the body, so that it is passed clockwise. */
export function isHollow(step: OutlineStep): boolean {
  return step.kind === 'arc' && step.toAngle < step.fromAngle
}

/** Straight chords that replace a hollow arc within the tolerance: a chord of angle θ stands R (1 − cos(θ / 2)) off it. */
export function chordCount(radius: number, sweep: number): number {
  const widest = 2 * Math.acos(Math.max(-1, 1 - HOLLOW_TOLERANCE / radius))
  return Math.max(1, Math.ceil(Math.abs(sweep) / widest))
}

/** Largest radius of an outline, mm. */
export function widestRadius(steps: readonly OutlineStep[]): number {
  let widest = 0
  for (const step of steps) {
    widest = Math.max(widest, startOfStep(step)[0], endOfStep(step)[0])
    if (step.kind === 'arc' && step.fromAngle < 0 && step.toAngle > 0) widest = Math.max(widest, step.centre[0] + step.radius)
  }
  return widest
}

/** Radius and height of the cutter's upper end: of its flutes, or of the whole outline where the shape goes on above them. */
export function cutterTop(cutter: Cutter): readonly [radius: number, height: number] {
  const steps = cutterOutline(cutter)
  return endOfStep(steps[steps.length - 1])
}

/** Cylinder whose lower edge is rounded with the corner radius; a ball when that is the whole radius. */
function roundedEnd(radius: number, corner: number, top: number): OutlineStep[] {
  return [
    { kind: 'arc', centre: [radius - corner, corner], radius: corner, fromAngle: down, toAngle: 0 },
    { kind: 'line', from: [radius, corner], to: [radius, top] },
  ]
}

function onArc(centre: readonly [number, number], radius: number, angle: number): readonly [number, number] {
  const r = centre[0] + radius * Math.cos(angle)
  return [Math.abs(r) < SAME_PLACE ? 0 : r, centre[1] + radius * Math.sin(angle)]
}
