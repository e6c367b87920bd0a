import { components, type Component } from '../../../shared/finding.ts'
import type { Cutter, Tool } from '../../../shared/setup.ts'
import { gaugeLength, toolPointHeight } from '../../../shared/tool-length.ts'
import { buildOutline, type ConvexOutline, type OutlineStep } from '../geometry/convex-outline.ts'

/** One component of the assembly as convex pieces of revolution; heights in mm above the programmed tool point. */
export interface ComponentShape {
  readonly component: Component
  readonly pieces: readonly ConvexOutline[]
}

/** The tool, neck, shank and holder as the search sees them. */
export interface Assembly {
  readonly toolNumber: number
  /** Gauge point to programmed tool point along the axis, mm. */
  readonly gaugeLength: number
  /** In the order of `components`; a missing component has no pieces. */
  readonly shapes: readonly ComponentShape[]
}

/**
 * Builds the assembly upward from the tip: cutter to LCF, neck to LU, shank (with its cone, when
 * BHTA is given) to LPR, then the holder's segments to the gauge line.
 */
export function buildAssembly(tool: Tool): Assembly {
  const lift = toolPointHeight(tool)
  const pieces: Record<Component, ConvexOutline[]> = { cutter: [], neck: [], shank: [], holder: [] }
  pieces.cutter.push(buildOutline(shift(cutterSteps(tool.cutter), lift)))
  const fluteEnd = tool.cutter.LCF
  let height = fluteEnd
  let radius = topRadius(tool.cutter)
  if (tool.neck !== undefined && tool.neck.LU > height) {
    radius = tool.neck.DN / 2
    pieces.neck.push(cylinder(radius, height, tool.neck.LU, lift))
    height = tool.neck.LU
  }
  if (tool.LPR > height) pieces.shank.push(shank(tool, radius, height, lift))
  height = tool.LPR
  for (const segment of tool.holder) {
    const low = segment.diameter / 2, high = segment.topDiameter / 2, top = height + segment.length
    pieces.holder.push(buildOutline(shift([{ kind: 'line', from: [low, height], to: [high, top] }], lift)))
    height = top
  }
  return {
    toolNumber: tool.number,
    gaugeLength: gaugeLength(tool),
    shapes: components.map(component => ({ component, pieces: pieces[component] })),
  }
}

function shank(tool: Tool, belowRadius: number, from: number, lift: number): ConvexOutline {
  const radius = (tool.shank?.DCONMS ?? 2 * belowRadius) / 2
  const half = tool.shank?.BHTA
  if (half === undefined || half <= 0 || radius <= belowRadius) return cylinder(radius, from, tool.LPR, lift)
  const coneTop = from + (radius - belowRadius) / Math.tan(half)
  // A cone that would reach into the holder is cut off at the holder's face.
  if (coneTop >= tool.LPR) {
    const reached = belowRadius + (tool.LPR - from) * Math.tan(half)
    return buildOutline(shift([{ kind: 'line', from: [belowRadius, from], to: [reached, tool.LPR] }], lift))
  }
  return buildOutline(shift([
    { kind: 'line', from: [belowRadius, from], to: [radius, coneTop] },
    { kind: 'line', from: [radius, coneTop], to: [radius, tool.LPR] },
  ], lift))
}

function cylinder(radius: number, bottom: number, top: number, lift: number): ConvexOutline {
  return buildOutline(shift([{ kind: 'line', from: [radius, bottom], to: [radius, top] }], lift))
}

/** Radius of the cutter where its flutes end. */
function topRadius(cutter: Cutter): number {
  if (cutter.shape !== 'taper') return cutter.DC / 2
  const { RE, BHTA, LCF } = cutter
  return Math.min(cutter.DC / 2, RE * Math.cos(BHTA) + (LCF - RE + RE * Math.sin(BHTA)) * Math.tan(BHTA))
}

function cutterSteps(cutter: Cutter): OutlineStep[] {
  const down = -Math.PI / 2, radius = cutter.DC / 2
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
    default:
      return cutter satisfies never
  }
}

/** Cylinder whose lower edge is rounded with the corner radius; a ball when that is the whole radius. */
function roundedEnd(radius: number, corner: number, top: number): OutlineStep[] {
  return [
    { kind: 'arc', centre: [radius - corner, corner], radius: corner, fromAngle: -Math.PI / 2, toAngle: 0 },
    { kind: 'line', from: [radius, corner], to: [radius, top] },
  ]
}

function shift(steps: readonly OutlineStep[], lift: number): OutlineStep[] {
  if (lift === 0) return [...steps]
  return steps.map(step => step.kind === 'line'
    ? { ...step, from: [step.from[0], step.from[1] - lift], to: [step.to[0], step.to[1] - lift] }
    : { ...step, centre: [step.centre[0], step.centre[1] - lift] })
}
