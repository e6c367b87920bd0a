import type { Finding } from '../../shared/finding.ts'
import type { ReadProgram } from '../engine/service.ts'
import type { MotionRun } from './deal-runs.ts'

/** What was not searched because threads have died of it. */
export function lostFindings({ toolpath, lineStarts }: ReadProgram, lost: readonly MotionRun[]): Finding[] {
  return lost.map(({ first, count }): Finding => {
    const from = toolpath.line[first] ?? 0, to = toolpath.line[first + count - 1] ?? from, start = lineStarts[from] ?? 0
    return {
      rule: 'not-checked', level: 'warning', span: { start, end: Math.max(start, (lineStarts[from + 1] ?? start + 1) - 1) },
      message: `Contact in lines ${from + 1} to ${to + 1} was not searched: every thread that tried has died. More memory, or fewer threads (--threads), may help.`,
    }
  })
}
