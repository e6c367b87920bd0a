import { cutAtHeight, cutterOutline, endOfStep } from '../../../shared/cutter-outline.ts'
import { components, type Component } from '../../../shared/finding.ts'
import type { OutlineStep, Tool } from '../../../shared/setup.ts'
import { gaugeLength, toolPointHeight } from '../../../shared/tool-length.ts'
import { coverByConvex, usualDrawnStep, type ConvexCover } from '../geometry/convex-cover.ts'
import type { ConvexOutline } from '../geometry/convex-outline.ts'

/** One component of the assembly as convex pieces of revolution; heights in mm above the programmed tool point. */
export interface ComponentShape {
  readonly component: Component
  readonly pieces: readonly ConvexOutline[]
  /** mm. How far the pieces may stand off the described body, which they hold; 0 where they are the body. */
  readonly excess: number
  /** Outlines for drawing, points (radius, height) from the lower end upward. */
  readonly drawn: readonly (readonly (readonly [number, number])[])[]
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
 * Builds the assembly upward from the tip: cutter to LCF, neck (with what the cutter's own outline
 * has above LCF) to LU, shank (with its cone, when BHTA is given) to LPR, then the holder's segments
 * to the gauge line. `drawnStep`: largest step of arcs in `drawn`, radians.
 */
export function buildAssembly(tool: Tool, drawnStep = usualDrawnStep): Assembly {
  const lift = toolPointHeight(tool)
  const covers: Record<Component, ConvexCover[]> = { cutter: [], neck: [], shank: [], holder: [] }
  const put = (component: Component, steps: readonly OutlineStep[]) => covers[component].push(coverByConvex(shift(steps, lift), drawnStep))
  const outline = cutterOutline(tool.cutter)
  let [radius, height] = endOfStep(outline[outline.length - 1])
  if (height > tool.cutter.LCF + SAME_HEIGHT) {
    const { below, above } = cutAtHeight(outline, tool.cutter.LCF)
    put('cutter', below)
    put('neck', above)
  } else {
    put('cutter', outline)
  }
  if (tool.neck !== undefined && tool.neck.LU > height) {
    radius = tool.neck.DN / 2
    put('neck', straight(radius, height, radius, tool.neck.LU))
    height = tool.neck.LU
  }
  if (tool.LPR > height) put('shank', shank(tool, radius, height))
  height = tool.LPR
  for (const segment of tool.holder) {
    const top = height + segment.length
    put('holder', straight(segment.diameter / 2, height, segment.topDiameter / 2, top))
    height = top
  }
  return { toolNumber: tool.number, gaugeLength: gaugeLength(tool), shapes: components.map(component => shapeOf(component, covers[component])) }
}

/** mm. Nothing of a cutter is left above its flutes within this. */
const SAME_HEIGHT = 1e-9

function shapeOf(component: Component, covers: readonly ConvexCover[]): ComponentShape {
  return {
    component,
    pieces: covers.flatMap(cover => cover.pieces),
    excess: Math.max(0, ...covers.map(cover => cover.excess)),
    drawn: covers.map(cover => cover.points),
  }
}

function shank(tool: Tool, belowRadius: number, from: number): OutlineStep[] {
  const radius = (tool.shank?.DCONMS ?? 2 * belowRadius) / 2
  const half = tool.shank?.BHTA
  if (half === undefined || half <= 0 || radius <= belowRadius) return straight(radius, from, radius, tool.LPR)
  const coneTop = from + (radius - belowRadius) / Math.tan(half)
  // A cone that would reach into the holder is cut off at the holder's face.
  if (coneTop >= tool.LPR) return straight(belowRadius, from, belowRadius + (tool.LPR - from) * Math.tan(half), tool.LPR)
  return [...straight(belowRadius, from, radius, coneTop), ...straight(radius, coneTop, radius, tool.LPR)]
}

function straight(lowRadius: number, bottom: number, highRadius: number, top: number): OutlineStep[] {
  return [{ kind: 'line', from: [lowRadius, bottom], to: [highRadius, top] }]
}

function shift(steps: readonly OutlineStep[], lift: number): OutlineStep[] {
  if (lift === 0) return [...steps]
  return steps.map(step => step.kind === 'line'
    ? { ...step, from: [step.from[0], step.from[1] - lift], to: [step.to[0], step.to[1] - lift] }
    : { ...step, centre: [step.centre[0], step.centre[1] - lift] })
}
