import type { HeightFigures } from './height-figures.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** What a motion leaves where no other comes lower: heights over the mesh, mm, below 0 where it cuts too deep. */
export interface LeftByMotion {
  readonly lowest: number
  readonly highest: number
  /** Surface where it comes lowest, mm². */
  readonly area: number
}

/** By motion; a motion that comes lowest nowhere is left out. */
export function leftByMotions({ count, areas }: SurfaceSamples, { value, motion }: HeightFigures): Map<number, LeftByMotion> {
  const left = new Map<number, { lowest: number, highest: number, area: number }>()
  for (let i = 0; i < count; i++) {
    if (motion[i] < 0) continue
    const known = left.get(motion[i])
    if (known === undefined) {
      left.set(motion[i], { lowest: value[i], highest: value[i], area: areas[i] })
      continue
    }
    known.lowest = Math.min(known.lowest, value[i])
    known.highest = Math.max(known.highest, value[i])
    known.area += areas[i]
  }
  return left
}
