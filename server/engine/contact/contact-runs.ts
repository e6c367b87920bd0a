import type { Kinematics } from '../../../shared/kinematics.ts'
import type { Toolpath } from '../../../shared/toolpath.ts'
import type { ContactFigures } from './contact-figures.ts'
import type { LimitTable } from './effective-limits.ts'
import { partFaults } from './motion-faults.ts'
import { RunGatherer, type ContactRun } from './run-gatherer.ts'

/**
 * Gathers the figures against the part that break a limit into runs of neighbouring motions at one
 * place, in the order of their first motions. `lengthOf`: how far the tool point goes in a motion, mm.
 */
export function contactRuns(kinematics: Kinematics, toolpath: Toolpath, limits: LimitTable, figures: ContactFigures, lengthOf: (motion: number) => number): ContactRun[] {
  const runs = new RunGatherer(toolpath, lengthOf)
  for (const fault of partFaults(kinematics, toolpath, limits, figures)) runs.add({ component: fault.component, against: 'part', tool: toolpath.tool[fault.motion] }, fault)
  return runs.finish()
}
