import { buildAssembly } from '../contact/assembly.ts'
import type { Tool } from '../../../shared/setup.ts'
import type { SectionPoint } from './mesh-section.ts'

/** Radians. Fine enough for a look at a hundredth of a millimetre of a large tool. */
const FINE = Math.PI / 720

/** One piece of the assembly, both sides of its axis, closed: (across, along) in mm from the programmed tool point. */
export interface ToolPiece {
  readonly component: string
  readonly points: readonly SectionPoint[]
}

/** The assembly cut along its axis, from the tip upward. */
export function toolPieces(tool: Tool): ToolPiece[] {
  return buildAssembly(tool, FINE).shapes.flatMap(({ component, drawn }) => drawn.map(points => ({
    component,
    points: [...points.map(([radius, height]): SectionPoint => [-radius, height]).reverse(), ...points],
  })))
}
