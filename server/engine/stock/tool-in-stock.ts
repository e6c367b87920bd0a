import type { Cancellation } from '../../../shared/cancellation.ts'
import { components, type Component } from '../../../shared/finding.ts'
import type { Tool } from '../../../shared/setup.ts'
import { toolPointHeight } from '../../../shared/tool-length.ts'
import type { Assembly } from '../contact/assembly.ts'
import { buildOutline } from '../geometry/convex-outline.ts'
import { MotionCutter } from './motion-cutter.ts'
import { StockContact } from './stock-contact.ts'
import type { StockGrid } from './stock-grid.ts'

/** mm. Material is met by the middle of the tool's end when it stands so deep in the probe there. */
const metDepth = 0.01

/** One tool as it meets the stock: what cuts, what must not touch, and the middle of its end. */
export interface ToolInStock {
  readonly cutter: MotionCutter | undefined
  /** In the order of `components`. */
  readonly contacts: readonly { readonly component: Component, readonly contact: StockContact }[]
  readonly centre: StockContact
}

/** `near`: how near counts, mm; `pitch`: of the rays. */
export function toolInStock(grid: StockGrid, tool: Tool, { shapes }: Assembly, near: number, pitch: number, cancellation: Cancellation): ToolInStock {
  return {
    cutter: shapes[0].pieces.length === 0 ? undefined : new MotionCutter(grid, shapes[0], cancellation),
    contacts: components.flatMap((component, i) =>
      shapes[i].pieces.length === 0 ? [] : [{ component, contact: new StockContact(grid, shapes[i].pieces, near, cancellation) }]),
    centre: new StockContact(grid, [centreProbe(tool, pitch)], -metDepth, cancellation),
  }
}

/** A small ball just above the tip, inside the cutter whatever its shape: as large as a twentieth of its diameter, but large enough to meet rays. */
function centreProbe(tool: Tool, pitch: number) {
  const radius = Math.min(Math.max(0.05 * tool.cutter.DC, 1.5 * pitch), 0.25 * tool.cutter.DC)
  // A drill's point of 90° holds a ball √2 radii above its tip.
  const height = radius * (tool.cutter.shape === 'drill' ? Math.SQRT2 : 1) - toolPointHeight(tool)
  return buildOutline([{ kind: 'arc', centre: [0, height], radius, fromAngle: -Math.PI / 2, toAngle: Math.PI / 2 }])
}
