import { components } from '../../../shared/finding.ts'
import type { Assembly } from './assembly.ts'
import type { NearFigure } from './near-figure.ts'
import type { Verdict } from './run-gatherer.ts'

/** mm. A wall that has just been cut may stand so far into what has cut it: twice what cuts are worked out to. */
const cutWall = 0.01

/**
 * The verdict on a figure of the tool against the stock as it stands at the motion. What the rays meet
 * decides; what may stand between them leaves the verdict open.
 */
export function judgeStock({ who, value, certified, inStock }: NearFigure, rapid: boolean, assembly: Assembly): Verdict | undefined {
  const isMet = value < -cutWall
  // The way out of a cut leads along its walls.
  if (certified >= 0 || (!isMet && inStock?.leaves === true)) return undefined
  if (rapid) return { rule: 'rapid-into-stock', wanted: 0, open: !isMet }
  const isShort = isMet && (who === 'neck' || who === 'shank') && goesOnBehindFlutes(assembly, who, inStock?.radius ?? Infinity)
  return { rule: isShort ? 'flute-too-short' : `${who}-contact`, wanted: 0, open: !isMet }
}

/** Whether a component as wide as the flutes, or wider, meets material where longer flutes would have cut it away. */
function goesOnBehindFlutes({ shapes }: Assembly, who: 'neck' | 'shank', radius: number): boolean {
  const [cutter, component] = [shapes[0], shapes[components.indexOf(who)]].map(({ pieces }) => Math.max(...pieces.map(piece => piece.radius)))
  return component > cutter - cutWall && radius < cutter + cutWall
}
