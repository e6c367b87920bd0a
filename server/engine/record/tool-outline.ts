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

/** The assembly cut along its axis, from the tip upward. `fineness`: the turn from point to point of a round, radians. */
export function toolPieces(tool: Tool, fineness = FINE): ToolPiece[] {
  return buildAssembly(tool, fineness).shapes.flatMap(({ component, drawn }) => drawn.map(points => ({
    component,
    points: [...points.map(([radius, height]): SectionPoint => [-radius, height]).reverse(), ...points],
  })))
}
