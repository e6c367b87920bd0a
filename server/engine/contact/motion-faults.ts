import { components, type Component } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'
import type { ObstacleName } from './near-figure.ts'
import { judgeObstacle, wantedFrom } from './obstacle.ts'
import { judge, leavesGouge } from './part-verdict.ts'
import type { Fault } from './run-gatherer.ts'
import { verdictLimits, type SearchInput } from './search-motions.ts'
import { judgedTurning } from './turning.ts'

/** One figure of one motion that breaks a limit, or may. */
export interface MotionFault extends Fault {
  readonly component: Component
  /** Undefined: the part. */
  readonly against: ObstacleName | undefined
  /** The distance at which nothing would be found any more, mm; negative: a depth that is allowed. */
  readonly keep: number
}

/**
 * Every figure of the tool that breaks a limit, motion by motion, as the findings judge it. Bodies of the machine are
 * left out: what they touch is no matter of one component.
 */
export function motionFaults(input: SearchInput, figures: ContactFigures): MotionFault[] {
  const { kinematics, toolpath, limits, fixtures = [] } = input
  const faults = [...partFaults(kinematics, toolpath, limits, figures)]
  for (const { motion, who, against, value, certified, time, point } of figures.near) {
    if (typeof who === 'number' || (against.kind !== 'fixture' && against.kind !== 'barrier')) continue
    const keep = wantedFrom(against, who, fixtures, limits.sets[limits.ofMotion[motion]])
    const verdict = keep === undefined ? undefined : judgeObstacle(against, keep, certified, value)
    if (keep !== undefined && verdict !== undefined) faults.push({ motion, component: who, against, verdict, keep, value, certified, time, point })
  }
  return faults
}

/** The figures against the part that break a limit, or may, in the order of the motions. */
export function* partFaults(kinematics: Kinematics, toolpath: Toolpath, limits: LimitTable, figures: ContactFigures): Generator<MotionFault> {
  for (let i = 0; i < figures.count; i++) {
    const motion = figures.firstMotion + i
    const inForce = limits.sets[limits.ofMotion[motion]].limits
    const rapid = (toolpath.flags[motion] & MotionFlag.rapid) !== 0
    const turning = judgedTurning(toolpath, kinematics, motion, figures.certified[i * FIGURES_PER_MOTION], inForce)
    for (let c = 0; c < components.length; c++) {
      const at = i * FIGURES_PER_MOTION + c
      const value = figures.value[at], certified = figures.certified[at]
      if (value === Infinity) continue
      const verdict = judge(components[c], rapid, turning, inForce, certified, value)
      if (verdict === undefined || (rapid && c === 0 && verdict.rule !== 'rotation-near-part' && leavesGouge(i, toolpath, figures))) continue
      yield {
        motion, component: components[c], against: undefined, verdict, keep: Math.max(...verdictLimits(components[c], rapid, turning, inForce)),
        value, certified, time: figures.time[at], point: [figures.point[at * 3], figures.point[at * 3 + 1], figures.point[at * 3 + 2]],
      }
    }
  }
}
