import { components } from '../../shared/finding.ts'
import type { ClearanceMark } from '../../shared/protocol/server-messages.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact/contact-figures.ts'
import { effectiveLimits, type LimitTable } from './contact/effective-limits.ts'
import { partFaults } from './contact/motion-faults.ts'
import { motionsOfLine } from './features/motions-by-line.ts'
import type { ProgramView } from './features/program-view.ts'
import type { ReadProgram } from './read-program.ts'

/** The figures of a search that may still run. */
export interface SearchedFigures {
  /** The motions [first, first + count); what has not been searched yet is in it without a meaning. */
  readonly run: (first: number, count: number) => ContactFigures
  readonly isKnown: (motion: number) => boolean
}

/** From the gravest to the mildest. */
const gravity: readonly ClearanceMark[] = ['broken', 'open', 'unknown', 'near', 'kept']

/** The limits of every motion, worked out once for a program. */
export function limitsOf(program: ReadProgram, { setup }: Pick<ProgramView, 'setup'>): LimitTable | undefined {
  return setup === undefined ? undefined : effectiveLimits(setup, program.toolpath, program.passLines)
}

/** The mark of each of the lines [first, last] that moves the tool. What is broken is what the findings say of the part. */
export function clearanceMarks(view: ProgramView, limits: LimitTable, figures: SearchedFigures, first: number, last: number): { readonly line: number, readonly mark: ClearanceMark }[] {
  const lines = Array.from({ length: Math.max(0, last - first + 1) }, (_, n) => ({ line: first + n, motions: motionsOfLine(view.motions, first + n) })).filter(({ motions }) => motions.length > 0)
  const marks = new Map<number, ClearanceMark>()
  for (const { from, to } of stretches(lines.flatMap(({ motions }) => [...motions]))) markStretch(view, limits, figures, from, to, marks)
  return lines.map(({ line, motions }) => ({ line, mark: gravity.find(mark => [...motions].some(motion => (marks.get(motion) ?? 'unknown') === mark)) ?? 'unknown' }))
}

/** Marks the motions [from, to]. */
function markStretch({ kinematics, toolpath }: ProgramView, limits: LimitTable, figures: SearchedFigures, from: number, to: number, marks: Map<number, ClearanceMark>): void {
  // What a motion leaves behind is judged by the one before it, so that one is handed in too.
  const begin = Math.max(0, from - 1), run = figures.run(begin, to - begin + 1)
  for (let motion = from; motion <= to; motion++) {
    const inForce = limits.sets[limits.ofMotion[motion] ?? 0]?.limits, at = (motion - begin) * FIGURES_PER_MOTION
    let mark: ClearanceMark = figures.isKnown(motion) ? 'kept' : 'unknown'
    for (let c = 0; c < components.length && mark !== 'unknown'; c++) {
      const component = components[c] ?? 'cutter', certified = run.certified[at + c] ?? -Infinity
      if (certified === -Infinity) mark = 'unknown'
      else if (component !== 'cutter' && inForce !== undefined && certified < 2 * inForce.clearance[component]) mark = 'near'
    }
    marks.set(motion, mark)
  }
  for (const { motion, verdict } of partFaults(kinematics, toolpath, limits, run)) {
    if (motion < from || !figures.isKnown(motion)) continue
    if (marks.get(motion) !== 'broken') marks.set(motion, verdict.open ? 'open' : 'broken')
  }
}

/** Motions that follow each other, as stretches from first to last. */
function stretches(motions: readonly number[]): { readonly from: number, readonly to: number }[] {
  const found: { from: number, to: number }[] = []
  for (const motion of [...motions].sort((a, b) => a - b)) {
    const before = found.at(-1)
    if (before !== undefined && motion <= before.to + 1) before.to = motion
    else found.push({ from: motion, to: motion })
  }
  return found
}
