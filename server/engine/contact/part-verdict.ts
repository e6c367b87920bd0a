import type { Component } from '../../../shared/finding.ts'
import type { Limits } from '../../../shared/setup.ts'
import { MotionFlag, type Toolpath } from '../../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact-figures.ts'
import type { Verdict } from './run-gatherer.ts'
import type { Turning } from './turning.ts'

/** The smallest distance a component may have to the part in cutting motion or in rapids, mm; negative: a depth that is allowed. */
export function leastDistance(component: Component, rapid: boolean, limits: Limits): number {
  const clearance = component === 'cutter' ? 0 : limits.clearance[component]
  if (rapid) return Math.max(clearance, limits.clearance.rapid)
  return component === 'cutter' ? limits.stockToLeave - limits.gouge : clearance
}

/** The verdict on one figure, [certified, value] being the proven interval; undefined where all is well. */
export function judge(component: Component, rapid: boolean, turning: Turning, limits: Limits, certified: number, value: number): Verdict | undefined {
  const clearance = component === 'cutter' ? 0 : limits.clearance[component]
  const touch = component === 'cutter' ? 'gouge' : `${component}-contact`
  const name = component !== 'cutter' && clearance >= limits.clearance.rapid ? component : 'rapid'
  const wantedClear = leastDistance(component, true, limits)
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
    const wanted = leastDistance(component, false, limits)
    if (turning === 'index' && certified >= wanted) return nearTurn()
    return certified < wanted ? { rule: touch, wanted, limit: limits.stockToLeave > limits.gouge ? 'stockToLeave' : 'gouge', open: value >= wanted } : undefined
  }
  if (value < 0 || certified < 0) return { rule: touch, wanted: 0, open: value >= 0 }
  if (turning === 'index') return nearTurn()
  return certified < clearance ? { rule: `${component}-clearance`, wanted: clearance, limit: `clearance.${component}`, open: value >= clearance } : undefined
}

/**
 * Whether a rapid only leaves the place where the feed move before it has cut too deep: it goes no
 * deeper than that, and the cause has been told there.
 */
export function leavesGouge(i: number, toolpath: Toolpath, figures: ContactFigures): boolean {
  const motion = figures.firstMotion + i
  if (i === 0 || toolpath.tool[motion - 1] !== toolpath.tool[motion] || (toolpath.flags[motion - 1] & MotionFlag.rapid) !== 0) return false
  const at = i * FIGURES_PER_MOTION, before = at - FIGURES_PER_MOTION
  return figures.value[at] >= figures.certified[before]
}
