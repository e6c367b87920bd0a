import { components } from '../../shared/finding.ts'
import type { ClearanceMark } from '../../shared/protocol/server-messages.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import { judge } from './contact/contact-runs.ts'
import { effectiveLimits, type LimitTable } from './contact/effective-limits.ts'
import type { ContactView } from './features/hover.ts'
import { motionsOfLine } from './features/motions-by-line.ts'
import type { ProgramView } from './features/program-view.ts'
import type { ReadProgram } from './read-program.ts'

/** From the gravest to the mildest. */
const gravity: readonly ClearanceMark[] = ['broken', 'open', 'unknown', 'near', 'kept']

/** The limits of every motion, worked out once for a program. */
export function limitsOf(program: ReadProgram, { setup }: Pick<ProgramView, 'setup'>): LimitTable | undefined {
  return setup === undefined ? undefined : effectiveLimits(setup, program.toolpath, program.passLines)
}

/**
 * The mark of each of the lines [first, last] that moves the tool. A rapid is judged for neck, shank and holder alone: what the
 * cutter may do on its way out of the cut is for the findings to say.
 */
export function clearanceMarks(view: ProgramView, limits: LimitTable, contact: ContactView, first: number, last: number): { readonly line: number, readonly mark: ClearanceMark }[] {
  const marks: { line: number, mark: ClearanceMark }[] = []
  for (let line = first; line <= last; line++) {
    const own = [...motionsOfLine(view.motions, line)].map(motion => markOf(view, limits, contact, motion))
    const mark = gravity.find(one => own.includes(one))
    if (mark !== undefined) marks.push({ line, mark })
  }
  return marks
}

function markOf({ toolpath }: ProgramView, table: LimitTable, contact: ContactView, motion: number): ClearanceMark {
  const figures = contact.figuresOf(motion), limits = table.sets[table.ofMotion[motion] ?? 0]?.limits
  if (figures === undefined || limits === undefined) return 'unknown'
  const rapid = ((toolpath.flags[motion] ?? 0) & MotionFlag.rapid) !== 0
  let mark: ClearanceMark = 'kept'
  const worsen = (other: ClearanceMark) => {
    if (gravity.indexOf(other) < gravity.indexOf(mark)) mark = other
  }
  for (const [c, component] of components.entries()) {
    const value = figures.value[c] ?? Infinity, certified = figures.certified[c] ?? -Infinity
    if (certified === -Infinity) worsen('unknown')
    if (value === Infinity || rapid && component === 'cutter') continue
    const verdict = judge(component, rapid, limits, certified, value)
    if (verdict !== undefined) worsen(verdict.open ? 'open' : 'broken')
    else if (component !== 'cutter' && certified < 2 * limits.clearance[component]) worsen('near')
  }
  return mark
}
