import type { Edit, Finding } from '../../shared/finding.ts'
import type { ProgramView } from './features/program-view.ts'
import { ruleOf } from './lint/all-rules.ts'
import type { Fix } from './lint/fix.ts'
import { lineOf } from './nc/line-index.ts'

/** How the finding can surely be mended in the program's text; undefined where only people can. */
export function fixOf(view: ProgramView, finding: Finding): Fix | undefined {
  const fix = ruleOf(finding.rule)?.fix
  // What was accepted stays, and a called file is mended where it is checked itself.
  if (fix === undefined || finding.file !== undefined || finding.waiver !== undefined) return undefined
  const { text, lineStarts, machine, setup, kinematics, toolpath } = view, { span } = finding
  const line = lineOf(lineStarts, span.start)
  return fix({ text, lineStarts, machine, setup, kinematics, toolpath, span, line, before: view.stateAt(line), after: view.stateAt(line + 1) })
}

/**
 * Everything that can be mended without a change of motion, feed, spindle or coolant and without anybody's decision.
 * In the order of the text; of two fixes that meet, the first is taken, and the other is left to the next time.
 */
export function safeEdits(view: ProgramView, findings: readonly Finding[]): Edit[] {
  const taken: Edit[] = []
  for (const finding of findings) {
    const fix = fixOf(view, finding)
    if (fix?.keepsMotion !== true || fix.oneByOne === true) continue
    if (fix.edits.every(edit => taken.every(other => edit.span.end < other.span.start || edit.span.start > other.span.end))) taken.push(...fix.edits)
  }
  return taken.sort((a, b) => a.span.start - b.span.start)
}
