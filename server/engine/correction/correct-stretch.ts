import type { Cancellation } from '../../../shared/cancellation.ts'
import { components, type Component } from '../../../shared/finding.ts'
import type { RotarySolver } from '../../../shared/inverse-kinematics.ts'
import type { ComponentDistance } from '../contact/component-distance.ts'
import type { MotionFault } from '../contact/motion-faults.ts'
import type { ObstacleName } from '../contact/near-figure.ts'
import { finestEpsilon } from '../geometry/tolerance.ts'
import { leastShift, turnBy, valueAt, type Demand, type Freedom } from './demand.ts'
import type { Station, Stretch } from './stretch.ts'

export interface CorrectionTask {
  readonly freedom: Freedom
  /** Components whose faults are to be corrected; those of the others must not become worse. */
  readonly components: readonly Component[]
  /** Faults that are another correction's matter altogether. */
  readonly ignores: (fault: MotionFault) => boolean
  /** Faults that are to end; the others were there before and must not become worse. */
  readonly isOwn: (fault: MotionFault) => boolean
  /** Motions of the stretch that are looked at first: those at fault, and their neighbours are reached from there. */
  readonly motions: readonly number[]
  /** Distances of the tools by tool index. */
  readonly distanceOf: (tool: number) => ComponentDistance | undefined
  /** Distance proven in a motion of the program before the correction, mm; Infinity where nothing was near. */
  readonly before: (motion: number, component: Component, against: ObstacleName | undefined) => number
  readonly solver: RotarySolver
  /** Travel of every joint; undefined where it has no end. */
  readonly ranges: readonly (readonly [number, number] | undefined)[]
  /** Axis letters, for sentences. */
  readonly letters: readonly string[]
  /** Rounds a moved station to what the program can say; undefined: it is not rounded. Says why where the program cannot say it. */
  readonly round?: (stretch: Stretch, station: number) => string | undefined
  /** Largest change of the turn of the axis in one motion, radians. */
  readonly turnRoom: (stretch: Stretch, motion: number) => number
  /** Largest shift, mm or radians. */
  readonly mostShift: number
  readonly cancellation: Cancellation
}

/** Why a stretch could not be corrected, as a sentence's end: "not possible: …". */
export type CorrectionAnswer = { readonly done: true } | { readonly done: false, readonly why: string }

/** Rounds of searching; each adds the places that were still too near. */
const mostRounds = 60

/** mm. A figure is driven this much past its limit, so that the search can prove it kept. */
const margin = 1.5 * finestEpsilon

/** mm. A component that is no matter of the correction may come this much nearer where it already breaks a limit. */
const sameFigure = 1e-4

/** Behind this share of a motion its end alone answers for a place. */
const nearEnd = 0.75

/** mm. A motion longer than this is parted where its ends need no correction; and where only one end is moved, so that the rest stays as it was. */
const longMotion = 1
const rampLength = 1

/** mm. Motions are not parted into less. */
const shortestPart = 0.02

/**
 * Brings the motions of a stretch within their limits by the least shifts of their ends. The certified search names the worst place and
 * moment of each motion; each becomes a demand on the station it is nearest to, and each station takes the least shift that meets its
 * demands. Since every demand is a place that would be cut or come too near otherwise, nothing is corrected more than it must be.
 */
export function correctStretch(stretch: Stretch, task: CorrectionTask): CorrectionAnswer {
  const work = new StretchWork(stretch, task)
  const answer = work.run()
  if (!answer.done) stretch.restore()
  return answer
}

class StretchWork {
  readonly #stretch: Stretch
  readonly #task: CorrectionTask
  readonly #demands = new Map<Station, Demand[]>()
  readonly #smooth = new Map<Station, { readonly toward: Float64Array, readonly least: number }[]>()
  /** Motions to be searched. */
  #dirty = new Set<number>()
  readonly #changed = new Set<Station>()
  #hasRamps = false
  #parted = -1

  constructor(stretch: Stretch, task: CorrectionTask) {
    this.#stretch = stretch
    this.#task = task
    for (const k of task.motions) this.#dirty.add(k)
  }

  run(): CorrectionAnswer {
    const { cancellation, freedom } = this.#task
    for (let round = 0; round < mostRounds; round++) {
      const faults = this.#faults()
      if (cancellation.cancelled()) return { done: false, why: 'it was called off' }
      if (faults.length === 0) {
        if (this.#hasRamps || freedom === 'turn' || !this.#addRamps()) return { done: true }
        this.#hasRamps = true
        continue
      }
      // From the last motion on: parting one leaves the numbers of those before it.
      faults.sort((a, b) => b.motion - a.motion)
      this.#parted = -1
      for (const fault of faults) {
        if (cancellation.cancelled()) break
        const why = this.#ask(fault)
        if (why !== undefined) return { done: false, why }
      }
      const why = this.#solve()
      if (why !== undefined) return { done: false, why }
    }
    return { done: false, why: 'no correction of this kind settles' }
  }

  /** Searches what has changed; the faults that are this correction's matter. */
  #faults(): MotionFault[] {
    const found: MotionFault[] = []
    const dirty = [...this.#dirty].sort((a, b) => a - b)
    this.#dirty = new Set()
    for (let i = 0; i < dirty.length && !this.#task.cancellation.cancelled();) {
      let end = i + 1
      while (end < dirty.length && dirty[end] === dirty[end - 1] + 1) end++
      const figures = this.#stretch.search(dirty[i], end - i)
      for (const fault of this.#stretch.faults(figures)) if (this.#wantedOf(fault) !== undefined) found.push(fault)
      i = end
    }
    return found
  }

  /** The distance to be kept, where the fault counts: its own limit, or for what is no matter of the correction what it kept before. */
  #wantedOf(fault: MotionFault): number | undefined {
    const { components, before, ignores, isOwn } = this.#task
    if (ignores(fault)) return undefined
    if (components.includes(fault.component) && isOwn(fault)) return fault.keep
    const origin = this.#stretch.originOf(fault.motion)
    const kept = Math.min(fault.keep, before(origin, fault.component, fault.against))
    return fault.value < kept - sameFigure ? kept - sameFigure : undefined
  }

  /** Makes a demand of a fault; a sentence where nobody can meet it. */
  #ask(fault: MotionFault): string | undefined {
    const stretch = this.#stretch, k = fault.motion, t = fault.time
    const from = stretch.stations[k], to = stretch.stations[k + 1], way = stretch.wayOf(k)
    // Parted for another fault of this round: it is searched anew.
    if (this.#parted === k) return undefined
    this.#dirty.add(k)
    const canPart = Math.min(t, 1 - t) * way > shortestPart && stretch.path.arcOf[k] < 0
    if (t >= nearEnd && to.fixed === undefined) return this.#demand(fault, to, t, from)
    if (t <= 1 - nearEnd && from.fixed === undefined) return this.#demand(fault, from, 1 - t, to)
    if (from.fixed === undefined && to.fixed === undefined) {
      if (way > longMotion && canPart) {
        const ends = [k, k + 1].flatMap(station => stretch.faultsStanding(station).filter(each => this.#wantedOf(each) !== undefined).map(each => ({ each, station })))
        for (const { each, station } of ends) this.#demand({ ...each, motion: k, time: station === k ? 0 : 1 }, stretch.stations[station], 1, undefined)
        return ends.length > 0 ? undefined : this.#partAt(k, t)
      }
      return this.#demand(fault, from, 1, undefined) ?? this.#demand(fault, to, 1, undefined)
    }
    if (canPart) return this.#partAt(k, t)
    const free = from.fixed === undefined ? from : to.fixed === undefined ? to : undefined
    if (free !== undefined) {
      const weight = free === from ? 1 - t : t
      if (weight > 0.05) return this.#demand(fault, free, weight, free === from ? to : from)
    }
    return (t < 0.5 ? from.fixed : to.fixed) ?? from.fixed ?? to.fixed ?? 'its ends cannot be moved'
  }

  #partAt(k: number, t: number): string | undefined {
    const stretch = this.#stretch, from = stretch.stations[k], to = stretch.stations[k + 1]
    this.#parted = k
    if (!stretch.part(k, t)) return 'a block would have to be parted that cannot be, or too often'
    this.#dirty = new Set([...this.#dirty].map(each => each > k ? each + 1 : each))
    this.#dirty.add(k).add(k + 1)
    // What was asked of both ends together is asked of the parts anew.
    for (const demands of [this.#demands.get(from), this.#demands.get(to)]) {
      for (let i = (demands?.length ?? 0) - 1; i >= 0; i--) if (demands?.[i].from === from && demands[i].to === to && demands[i].weight < 1) demands.splice(i, 1)
    }
    return undefined
  }

  #demand(fault: MotionFault, station: Station, weight: number, other: Station | undefined): string | undefined {
    const stretch = this.#stretch, k = fault.motion, { basePose: pose, pose: now } = stretch
    pose.begin(k)
    pose.at(fault.time)
    const distance = this.#task.distanceOf(stretch.path.tool[k])
    const wanted = this.#wantedOf(fault)
    if (distance === undefined || wanted === undefined) return undefined
    const demand: Demand = {
      from: stretch.stations[k], to: stretch.stations[k + 1], weight, other,
      pose: [pose.px, pose.py, pose.pz, pose.ax, pose.ay, pose.az], point: fault.point, component: fault.component, wanted: wanted + margin,
    }
    // What the model of the shift says of this place and what is true differ where rounding, or joints that turn, come in.
    now.begin(k)
    now.at(fault.time)
    const [x, y, z] = fault.point
    const attained = distance.at(fault.component, x - now.px, y - now.py, z - now.pz, now.ax, now.ay, now.az)
    // Where the place itself keeps the limit, what is lacking is the proof.
    const truth = attained < demand.wanted ? attained : fault.certified
    const model = valueAt(station.shift, demand, distance, this.#task.freedom)
    const beyond = model - truth
    const list = this.#demands.get(station) ?? []
    this.#demands.set(station, list)
    list.push(beyond > 0 ? { ...demand, wanted: demand.wanted + beyond } : demand)
    this.#changed.add(station)
    return undefined
  }

  /** Moves every station that has new demands, and spreads turns over their neighbours. */
  #solve(): string | undefined {
    const { stretch } = { stretch: this.#stretch }
    for (let sweep = 0; sweep < 400 && this.#changed.size > 0; sweep++) {
      const stations = [...this.#changed]
      this.#changed.clear()
      for (const station of stations) {
        const at = stretch.stations.indexOf(station)
        const why = this.#solveStation(station, at) ?? this.#moveStation(station, at)
        if (why !== undefined) return why
        if (at > 0) this.#dirty.add(at - 1)
        if (at < stretch.count) this.#dirty.add(at)
        if (this.#task.freedom === 'turn') {
          const stuck = this.#smoothen(at)
          if (stuck !== undefined) return stuck
        }
      }
    }
    return undefined
  }

  #solveStation(station: Station, at: number): string | undefined {
    const { freedom, distanceOf, mostShift } = this.#task, stretch = this.#stretch
    const distance = distanceOf(stretch.path.tool[Math.max(0, at - 1)])
    if (distance === undefined) return 'the tool is not known'
    const { axis } = stretch.poseAt(stretch.base, at)
    const x = Float64Array.from(station.shift)
    if (!leastShift(x, this.#demands.get(station) ?? [], distance, freedom, Float64Array.from(axis))) return noWay[freedom]
    for (const { toward, least } of this.#smooth.get(station) ?? []) {
      const along = x[0] * toward[0] + x[1] * toward[1] + x[2] * toward[2]
      if (along < least) for (let n = 0; n < 3; n++) x[n] += (least - along) * toward[n]
    }
    if (Math.hypot(x[0], x[1], x[2]) > mostShift) return freedom === 'turn' ? `the tool would have to lean by more than ${(mostShift * 180 / Math.PI).toFixed(0)}°` : `the tool point would have to move by more than ${mostShift.toFixed(0)} mm`
    station.shift.set(x)
    return undefined
  }

  #moveStation(station: Station, at: number): string | undefined {
    const stretch = this.#stretch, { solver, ranges, letters, freedom, round } = this.#task
    const { point, axis } = stretch.poseAt(stretch.base, at)
    const [x, y, z] = point, turned = Float64Array.from(axis)
    const joints = stretch.jointsOf(stretch.path, at)
    joints.set(stretch.jointsOf(stretch.base, at))
    const d = station.shift
    let placed: boolean
    if (freedom === 'turn') {
      turnBy(d, turned)
      const answer = solver.aim(turned[0], turned[1], turned[2], joints)
      if (answer.miss > 1e-6) return stretch.whyNotHeld
      if (!answer.withinTravel) return 'a rotary axis would leave its travel'
      placed = stretch.placePoint(at, x, y, z)
    } else placed = stretch.placePoint(at, x + d[0], y + d[1], z + d[2])
    if (!placed) return 'X, Y and Z of the machine cannot be solved for'
    const why = d[0] === 0 && d[1] === 0 && d[2] === 0 ? undefined : round?.(stretch, at)
    if (why !== undefined) return why
    const beyond = ranges.findIndex((range, j) => range !== undefined && (joints[j] < range[0] - 1e-9 || joints[j] > range[1] + 1e-9))
    return beyond < 0 ? undefined : `${letters[beyond]} would leave its travel`
  }

  /** The turn changes from station to station by no more than there is room for: the neighbours lean along. */
  #smoothen(at: number): string | undefined {
    const stretch = this.#stretch, station = stretch.stations[at], length = Math.hypot(...station.shift)
    for (const [next, k] of [[at - 1, at - 1], [at + 1, at]]) {
      const other = stretch.stations[next]
      if (other === undefined || k < 0 || k >= stretch.count) continue
      const room = this.#task.turnRoom(stretch, k)
      const gap = Math.hypot(...station.shift.map((value, n) => value - other.shift[n]))
      if (gap <= room || length <= Math.hypot(...other.shift)) continue
      if (other.fixed !== undefined) return `the turn cannot be spread: ${other.fixed}`
      const toward = station.shift.map(value => value / length)
      const list = this.#smooth.get(other) ?? []
      this.#smooth.set(other, [...list, { toward, least: length - room }])
      this.#changed.add(other)
    }
    return undefined
  }

  /** Where a long motion has one end moved, a station is put in near that end and stays in place, if nothing is at fault there. */
  #addRamps(): boolean {
    const stretch = this.#stretch
    let added = false
    for (let k = stretch.count - 1; k > 0 && !this.#task.cancellation.cancelled(); k--) {
      if (stretch.path.arcOf[k] >= 0) continue
      const before = isMoved(stretch.stations[k]), after = isMoved(stretch.stations[k + 1]), way = stretch.wayOf(k)
      if (before === after || way < 2 * rampLength) continue
      const t = before ? rampLength / way : 1 - rampLength / way
      if (this.#isFaultyBefore(k, t) || !stretch.part(k, t)) continue
      const station = stretch.stations[k + 1]
      station.shift.fill(0)
      stretch.jointsOf(stretch.path, k + 1).set(stretch.jointsOf(stretch.base, k + 1))
      this.#task.round?.(stretch, k + 1)
      this.#dirty = new Set([...this.#dirty].map(each => each > k ? each + 1 : each))
      this.#dirty.add(k).add(k + 1)
      added = true
    }
    return added
  }

  /** Whether the motion was at fault at this moment before the correction. */
  #isFaultyBefore(k: number, t: number): boolean {
    const stretch = this.#stretch, joints = new Float64Array(stretch.width)
    stretch.basePose.begin(k)
    stretch.basePose.jointsAt(t, joints)
    return stretch.faultsOf(k, joints).some(fault => this.#wantedOf(fault) !== undefined)
  }
}

function isMoved({ shift }: Station): boolean {
  return shift[0] !== 0 || shift[1] !== 0 || shift[2] !== 0
}

const noWay: Readonly<Record<Freedom, string>> = {
  point: 'what is too near lies on opposite sides: no way leads off all of it',
  'axis-line': 'moving along the axis does not lead off what is too near',
  turn: 'what is too near lies on opposite sides: leaning one way comes nearer on the other',
}

/** Components whose clearance a lean can give. */
export const leanable: readonly Component[] = components.filter(each => each !== 'cutter')
