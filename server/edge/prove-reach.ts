import type { Edit } from '../../shared/finding.ts'
import { holderInStock, LineMap, mendProof, withStickOuts, worseFindings, type Judged, type LookedAt, type Reach, type Scene } from '../engine/service.ts'

/** A text as it was checked with another scene, but for its contact, and what of the sheet was looked at. */
export interface CheckedBeside {
  readonly judged: Judged
  readonly lookedAt: LookedAt
}

export interface ReachToProve {
  readonly scene: Scene
  readonly reach: readonly Reach[]
  /** The text with the stick-outs of the sheet, as it was checked. */
  readonly before: Judged
  /** Checks the same text with a scene in which tools stick out farther: text and motion, the stock, what is left. Undefined once nobody waits. */
  readonly check: (scene: Scene) => Promise<CheckedBeside | undefined>
}

/**
 * Holds the whole check with longer stick-outs against the one without, one tool after the other: their contact is proven already. One that makes
 * anything worse, or leaves the holder in the stock, is not taken, and says why. Undefined once nobody waits.
 */
export async function proveReach({ scene, reach, before, check }: ReachToProve): Promise<readonly Reach[] | undefined> {
  const proven: Reach[] = []
  for (const each of reach) {
    const { tool, from, to } = each
    if (to === undefined) {
      proven.push(each)
      continue
    }
    const changed = withStickOuts(scene, [...proven, each]), checked = await check(changed)
    if (checked === undefined) return undefined
    const [worse] = worseFindings(before, checked.judged, new LineMap(before.program, checked.judged.program, noEdits)), inStock = holderInStock(checked.judged, changed, tool)
    const why = inStock === undefined ? worse?.why : `${inStock.rule}: ${inStock.message}`
    proven.push(why === undefined ? { ...each, proof: mendProof(changed, checked.lookedAt, []) } : { tool, from, why: `with ${to.toFixed(1)} mm the holder would be clear of the part, but ${why}` })
  }
  return proven
}

const noEdits: readonly Edit[] = []
