import type { Cutter, Tool } from './setup.ts'

// The lengths of a tool assembly along its axis that language, kinematics and contact must agree on.

/** Gauge point to programmed tool point along the axis, mm. */
export function gaugeLength(tool: Tool): number {
  return tipToGauge(tool) - toolPointHeight(tool)
}

/** Tip to gauge point along the axis, mm: the stick-out and the whole holder. */
export function tipToGauge(tool: Tool): number {
  return tool.LPR + tool.holder.reduce((sum, segment) => sum + segment.length, 0)
}

/** Height of the programmed point above the tip, mm: the corner radius where the sheet says `centre`. */
export function toolPointHeight(tool: Tool): number {
  if (tool.point === 'tip') return 0
  return cornerHeight(tool.cutter) ?? 0
}

/** Height of the centre of the corner radius above the tip, mm; undefined where the shape has none. */
export function cornerHeight(cutter: Cutter): number | undefined {
  switch (cutter.shape) {
    case 'ball':
    case 'lollipop':
      return cutter.DC / 2
    case 'bull':
    case 'taper':
      return cutter.RE > 0 ? cutter.RE : undefined
    case 'apt':
      return cutter.r > 0 ? cutter.f : undefined
    default:
      return undefined
  }
}
