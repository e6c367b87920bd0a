import type { Toolpath } from '../../../shared/toolpath.ts'
import type { MotionFault } from './motion-faults.ts'
import { RunGatherer, type ContactRun } from './run-gatherer.ts'

/**
 * Gathers the faults against the part, given in the order of the motions, into runs of neighbouring motions at one
 * place, in the order of their first motions. `lengthOf`: how far the tool point goes in a motion, mm.
 */
export function contactRuns(toolpath: Toolpath, faults: Iterable<MotionFault>, lengthOf: (motion: number) => number): ContactRun[] {
  const runs = new RunGatherer(toolpath, lengthOf)
  for (const fault of faults) runs.add({ component: fault.component, against: 'part', tool: toolpath.tool[fault.motion] }, fault)
  return runs.finish()
}
