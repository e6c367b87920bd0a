import type { HeightFigures } from './height-figures.ts'
import { newHeightFigures } from './height-figures.ts'
import { patchCount, patchSize } from './sample-groups.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** Motions that two readings of a program have in common. */
export interface CommonMotions {
  /** For each motion of this reading the same one of the earlier, or -1; see `contact/unchanged-motions.ts`. */
  readonly same: Int32Array
  /** Motions of the earlier reading. */
  readonly before: number
}

export interface InheritedHeights {
  readonly figures: HeightFigures
  /** Patches in which a motion that is no more came lowest somewhere: all motions may count there. In the others only the new ones can. */
  readonly anew: Int32Array
}

/** Takes over the heights of an earlier reading as far as the motion that came lowest is still there. */
export function inheritHeights(samples: SurfaceSamples, earlier: HeightFigures, { same, before }: CommonMotions, share: boolean): InheritedHeights {
  const nowOf = new Int32Array(before).fill(-1)
  same.forEach((old, motion) => {
    if (old >= 0) nowOf[old] = motion
  })
  const figures = newHeightFigures(samples.count, share)
  const anew: number[] = []
  for (let i = 0; i < samples.count; i++) {
    const motion = earlier.motion[i]
    if (motion >= 0 && nowOf[motion] < 0) {
      const patch = Math.floor(i / patchSize)
      if (anew.at(-1) !== patch) anew.push(patch)
      continue
    }
    figures.value[i] = earlier.value[i]
    figures.gaveUp[i] = earlier.gaveUp[i]
    figures.motion[i] = motion < 0 ? -1 : nowOf[motion]
  }
  return { figures, anew: Int32Array.from(anew) }
}

/** The stretch [first, end) of this reading that holds all motions the earlier one has not. */
export function newMotions({ same }: CommonMotions): { first: number, end: number } {
  const first = same.indexOf(-1)
  return first < 0 ? { first: 0, end: 0 } : { first, end: same.lastIndexOf(-1) + 1 }
}

/** All patches but these. */
export function otherPatches(samples: SurfaceSamples, patches: Int32Array): Int32Array {
  const taken = new Set(patches)
  return Int32Array.from(Array.from({ length: patchCount(samples.groups) }, (_, i) => i).filter(i => !taken.has(i)))
}
