import type { RotarySolver } from '../../../shared/inverse-kinematics.ts'
import type { Triple } from '../../../shared/setup.ts'
import { greatestMiss } from '../geometry/axis-miss.ts'
import type { Station, Stretch } from './stretch.ts'

export interface AimTask {
  /** The point for a motion of the stretch, and how near the axis must pass it, mm; undefined where it is not aimed. */
  readonly target: (motion: number) => { readonly point: Triple, readonly within: number } | undefined
  readonly solver: RotarySolver
  readonly round: (stretch: Stretch, station: number) => string | undefined
}

/** Rounds of parting: between two aimed ends the joints turn evenly, and the axis misses the point a little. */
const mostRounds = 12

/** A tool point this near to the point has no way to it, mm. */
const atPoint = 1e-6

/** Turns the axis at every end of the motions that miss their point, about the tool point; parts those that still miss it in between. Answers with the largest turn, radians. */
export function aimAxis(stretch: Stretch, { target, solver, round }: AimTask): { readonly most: number, readonly stays: readonly string[] } {
  const aimed = new Set<Station>(), stays = new Set<string>()
  let most = 0
  const aim = (at: number, point: Triple): string | undefined => {
    const station = stretch.stations[at]
    if (aimed.has(station)) return undefined
    if (station.fixed !== undefined) return station.fixed
    const { point: p, axis } = stretch.poseAt(stretch.base, at)
    const way = [0, 1, 2].map(n => point[n] - p[n]), length = Math.hypot(...way)
    if (length < atPoint) return undefined
    const along = way[0] * axis[0] + way[1] * axis[1] + way[2] * axis[2], sign = along < 0 ? -1 : 1
    const joints = stretch.jointsOf(stretch.path, at), [x, y, z] = p
    const answer = solver.aim(sign * way[0], sign * way[1], sign * way[2], joints)
    if (answer.miss > 1e-6 || !answer.withinTravel) {
      joints.set(stretch.jointsOf(stretch.base, at))
      return answer.withinTravel ? stretch.whyNotHeld : 'a rotary axis would leave its travel'
    }
    if (!stretch.placePoint(at, x, y, z)) return 'X, Y and Z of the machine cannot be solved for'
    const why = round(stretch, at)
    if (why !== undefined) return why
    most = Math.max(most, Math.acos(Math.min(1, Math.abs(along) / length)))
    aimed.add(station)
    return undefined
  }
  for (let n = 0; n < mostRounds; n++) {
    let changed = false
    for (let k = stretch.count - 1; k > 0; k--) {
      const wanted = target(k)
      if (wanted === undefined) continue
      const { miss, time } = greatestMiss(stretch.pose, stretch.path, k, stretch.kinematics.rotary, wanted.point)
      if (miss <= wanted.within) continue
      const before = aimed.size
      const whys = [aim(k, wanted.point), aim(k + 1, wanted.point)].filter(each => each !== undefined)
      if (aimed.size > before) changed = true
      else if (time > 0 && time < 1 && stretch.part(k, time)) {
        const why = aim(k + 1, wanted.point)
        if (why !== undefined) stays.add(why)
        changed = true
      } else for (const why of whys.length > 0 ? whys : ['a block would have to be parted that cannot be']) stays.add(why)
    }
    if (!changed) break
  }
  return { most, stays: [...stays] }
}
