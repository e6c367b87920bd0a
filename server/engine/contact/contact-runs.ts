import { components, type Component, type Point } from '../../../shared/finding.ts'
import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Limits } from '../../../shared/setup.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'
import { RunGatherer, type ContactRun, type Verdict } from './run-gatherer.ts'
import { isAtWork, turningOf, type Turning } from './turning.ts'

/** The verdict on one figure, [certified, value] being the proven interval; undefined where all is well. */
export function judge(component: Component, rapid: boolean, turning: Turning, limits: Limits, certified: number, value: number): Verdict | undefined {
  const clearance = component === 'cutter' ? 0 : limits.clearance[component]
  const touch = component === 'cutter' ? 'gouge' : `${component}-contact`
  const name = component !== 'cutter' && clearance >= limits.clearance.rapid ? component : 'rapid'
  const wantedClear = Math.max(clearance, limits.clearance.rapid)
  const nearTurn = () => certified < wantedClear ? { rule: 'rotation-near-part', wanted: wantedClear, limit: `clearance.${name}`, open: value >= wantedClear } : undefined
  if (rapid) {
    // The cutter may leave at rapid from where it has just cut as deep as it may.
    const deepest = component === 'cutter' ? -limits.gouge : 0
    if (certified < deepest) return { rule: 'rapid-into-part', wanted: deepest, open: value >= deepest }
    if (turning === 'rapid') return nearTurn()
    const rule = name === 'rapid' ? 'rapid-clearance' : `${component}-clearance`
    return certified < wantedClear ? { rule, wanted: wantedClear, limit: `clearance.${name}`, open: value >= wantedClear } : undefined
  }
  if (component === 'cutter') {
    const wanted = limits.stockToLeave - limits.gouge
    if (turning === 'index' && certified >= wanted) return nearTurn()
    return certified < wanted ? { rule: touch, wanted, limit: limits.stockToLeave > limits.gouge ? 'stockToLeave' : 'gouge', open: value >= wanted } : undefined
  }
  if (value < 0 || certified < 0) return { rule: touch, wanted: 0, open: value >= 0 }
  if (turning === 'index') return nearTurn()
  return certified < clearance ? { rule: `${component}-clearance`, wanted: clearance, limit: `clearance.${component}`, open: value >= clearance } : undefined
}

/**
 * Gathers the figures against the part that break a limit into runs of neighbouring motions at one
 * place, in the order of their first motions. `lengthOf`: how far the tool point goes in a motion, mm.
 */
export function contactRuns(kinematics: Kinematics, toolpath: Toolpath, limits: LimitTable, figures: ContactFigures, lengthOf: (motion: number) => number): ContactRun[] {
  const runs = new RunGatherer(toolpath, lengthOf)
  for (let i = 0; i < figures.count; i++) {
    const motion = figures.firstMotion + i
    const inForce = limits.sets[limits.ofMotion[motion]].limits
    const rapid = (toolpath.flags[motion] & MotionFlag.rapid) !== 0
    const turns = turningOf(toolpath, kinematics, motion)
    const turning = turns === 'index' && isAtWork(figures.certified[i * FIGURES_PER_MOTION], inForce) ? 'none' : turns
    for (let c = 0; c < components.length; c++) {
      const at = i * FIGURES_PER_MOTION + c
      const value = figures.value[at], certified = figures.certified[at]
      if (value === Infinity) continue
      const verdict = judge(components[c], rapid, turning, inForce, certified, value)
      if (verdict === undefined || (rapid && c === 0 && verdict.rule !== 'rotation-near-part' && leavesGouge(i, toolpath, figures))) continue
      const point: Point = [figures.point[at * 3], figures.point[at * 3 + 1], figures.point[at * 3 + 2]]
      runs.add({ component: components[c], against: 'part', tool: toolpath.tool[motion] }, { motion, verdict, value, certified, time: figures.time[at], point })
    }
  }
  return runs.finish()
}

/**
 * Whether a rapid only leaves the place where the feed move before it has cut too deep: it goes no
 * deeper than that, and the cause has been told there.
 */
function leavesGouge(i: number, toolpath: Toolpath, figures: ContactFigures): boolean {
  const motion = figures.firstMotion + i
  if (i === 0 || toolpath.tool[motion - 1] !== toolpath.tool[motion] || (toolpath.flags[motion - 1] & MotionFlag.rapid) !== 0) return false
  const at = i * FIGURES_PER_MOTION, before = at - FIGURES_PER_MOTION
  return figures.value[at] >= figures.certified[before]
}
