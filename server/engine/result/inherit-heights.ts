import type { HeightFigures } from './height-figures.ts'
import { newHeightFigures } from './height-figures.ts'
import { patchCount, patchSize } from './sample-groups.ts'
import type { SurfaceSamples } from './surface-samples.ts'

/** Motions that two readings of a program have in common: the first `head` of both, and the last `tail` of each. */
export interface CommonMotions {
  readonly head: number
  readonly tail: number
  readonly before: number
  readonly now: number
}

export interface InheritedHeights {
  readonly figures: HeightFigures
  /** Patches in which a motion that is no more came lowest somewhere: all motions may count there. In the others only the new ones can. */
  readonly anew: Int32Array
}

/** Takes over the heights of an earlier reading as far as the motion that came lowest is still there. */
export function inheritHeights(samples: SurfaceSamples, earlier: HeightFigures, { head, tail, before, now }: CommonMotions, share: boolean): InheritedHeights {
  const figures = newHeightFigures(samples.count, share)
  const anew: number[] = []
  for (let i = 0; i < samples.count; i++) {
    const motion = earlier.motion[i]
    const isGone = motion >= head && motion < before - tail
    if (isGone) {
      const patch = Math.floor(i / patchSize)
      if (anew.at(-1) !== patch) anew.push(patch)
      continue
    }
    figures.value[i] = earlier.value[i]
    figures.gaveUp[i] = earlier.gaveUp[i]
    figures.motion[i] = motion < head ? motion : motion + now - before
  }
  return { figures, anew: Int32Array.from(anew) }
}

/** All patches but these. */
export function otherPatches(samples: SurfaceSamples, patches: Int32Array): Int32Array {
  const taken = new Set(patches)
  return Int32Array.from(Array.from({ length: patchCount(samples.groups) }, (_, i) => i).filter(i => !taken.has(i)))
}
