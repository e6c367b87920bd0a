import { proveReach, type CheckedBeside } from './prove-reach.ts'
import { LineMap, mendProof, worseFindings, type HeldBack, type Judged, type LookedAt, type MendedReport, type MendReport, type Scene, type Worse } from '../engine/service.ts'

/** A mended text as it was checked, and what of the sheet was looked at in it. */
export interface CheckedMend<Checked> {
  readonly judged: Judged
  readonly lookedAt: LookedAt
  readonly checked: Checked
}

export interface MendToProve<Checked> {
  readonly scene: Scene
  /** The text as it was, with findings of the same kinds and levels as those of the check. */
  readonly before: Judged
  /** Mends it, but for the places that are held back; undefined once nobody waits. */
  readonly mend: (heldBack: readonly HeldBack[]) => Promise<MendReport | undefined>
  /** Checks a mended text; undefined once nobody waits. */
  readonly check: (text: string) => Promise<CheckedMend<Checked> | undefined>
  /** Checks a text, but for its contact, with a scene in which tools stick out farther; undefined once nobody waits. */
  readonly checkReach: (text: string, scene: Scene) => Promise<CheckedBeside | undefined>
}

export interface ProvenMend<Checked> {
  readonly report: MendReport
  /** The check of the mended text; undefined where nothing was changed. */
  readonly checked: Checked | undefined
}

/** Rounds in which one place is held back for each thing that is worse. */
const roundsByOne = 4

/**
 * Mends a text and checks all of the mended text. A place whose correction makes anything worse, be it the stock, what is left on the part
 * or a rate, is held back, and the rest is mended anew, until nothing is worse. Longer stick-outs are held against the outcome. Undefined once nobody waits.
 */
export async function proveMend<Checked>({ scene, before, mend, check, checkReach }: MendToProve<Checked>): Promise<ProvenMend<Checked> | undefined> {
  const heldBack: HeldBack[] = []
  const withReach = async (report: MendReport, judged: Judged, checked: Checked | undefined) => {
    const reach = await proveReach({ scene, reach: report.reach, before: judged, check: changed => checkReach(report.text, changed) })
    return reach === undefined ? undefined : { report: { ...report, reach }, checked }
  }
  for (let round = 0; ; round++) {
    // Where one place at a time is the wrong one, twice as many are held back with each round: it comes to its end.
    const most = 2 ** Math.max(0, round - roundsByOne)
    const report = await mend(heldBack)
    if (report === undefined) return undefined
    if (report.edits.length === 0) return withReach(report, before, undefined)
    const after = await check(report.text)
    if (after === undefined) return undefined
    const worse = worseFindings(before, after.judged, new LineMap(before.program, after.judged.program, report.edits))
    // What a plan leaves standing it was told to leave: that is said, and no reason to leave the fault. So are ridges that grow wider where nothing of the path was left out.
    const isTold = (each: Worse) => {
      const [likeliest] = nearestPlaces(each, report.mended, 1)
      return each.isLeft && (likeliest?.isPlanned === true || each.isWider && likeliest?.leftOut === 0)
    }
    const unwanted = worse.filter(each => !isTold(each))
    if (unwanted.length === 0) return withReach({ ...report, proof: mendProof(scene, after.lookedAt, worse.map(({ why }) => why)) }, after.judged, after.checked)
    for (const each of unwanted) for (const { firstLine, lastLine } of nearestPlaces(each, report.mended, most)) {
      if (!heldBack.some(({ first, last }) => first === firstLine && last === lastLine)) heldBack.push({ first: firstLine, last: lastLine, why: each.why })
    }
  }
}

/** The places that are likeliest to have made something worse, the likeliest first. */
function nearestPlaces({ line, point, isLeft }: Worse, mended: readonly MendedReport[], most: number): readonly MendedReport[] {
  const distance = (place: MendedReport) => {
    if (point !== undefined && place.where.length > 0) return nearest(place.where, point)
    return line === undefined ? 0 : place.changes.reduce((least, change) => Math.min(least, Math.abs(change.line - line)), Infinity)
  }
  // Material stays where a path was ended or drawn off, not where the cut only came up to its limit.
  const rank = (place: MendedReport) => !isLeft || place.leftOut > 0 ? 0 : place.standing > 0 ? 1 : 2
  return mended.map(place => ({ place, away: distance(place) })).sort((a, b) => rank(a.place) - rank(b.place) || a.away - b.away).slice(0, most).map(({ place }) => place)
}

function nearest(where: readonly number[], [x, y, z]: readonly [number, number, number]): number {
  let least = Infinity
  for (let i = 0; i < where.length; i += 3) least = Math.min(least, Math.hypot((where[i] ?? 0) - x, (where[i + 1] ?? 0) - y, (where[i + 2] ?? 0) - z))
  return least
}
