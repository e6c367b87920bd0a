import type { Finding } from '../../shared/finding.ts'
import { sentenceOf } from '../../shared/protocol/channel.ts'
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

/** The stock was not followed because of a fault of ours, a thread that died among them. */
export function lostStock(error: unknown): Finding {
  return lostAsWhole('The stock was not followed to the end', error)
}

/** What is left on the part was not measured because of a fault of ours. */
export function lostResult(error: unknown): Finding {
  return lostAsWhole('What is left on the part was not measured to the end', error)
}

function lostAsWhole(what: string, error: unknown): Finding {
  // Where a thread tells how it came to its fault, that stands below the first line and is of no use at the machine.
  const [why = ''] = sentenceOf(error).split('\n')
  return { rule: 'not-checked', level: 'warning', span: { start: 0, end: 0 }, message: `${what}, a fault of ours: ${why}` }
}
