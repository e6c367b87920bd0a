import { commentText, readMarks } from './block-marks.ts'
import { callsOf } from './calls.ts'
import type { FindProgram } from './definitions.ts'
import { linesWith, type Place, type ProgramText } from './program-text.ts'
import { sectionsOf } from './sections.ts'
import { ruleOf } from '../lint/all-rules.ts'

/** Words that lead out of the text when they are clicked. */
export type Link = Place & (
  | { readonly kind: 'file', readonly path: string }
  | { readonly kind: 'rule', readonly rule: string }
)

/** Calls of programs that lie in files of their own, and the rules that comments accept. */
export function linksOf(program: ProgramText, findProgram: FindProgram): Link[] {
  const here = new Set(sectionsOf(program).map(({ number }) => number))
  const calls = callsOf(program).flatMap(({ number, place }): Link[] => {
    const path = here.has(number) ? undefined : findProgram(number)
    return path === undefined ? [] : [{ ...place, kind: 'file', path }]
  })
  return [...calls, ...acceptedRules(program)].sort((a, b) => a.line - b.line || a.from - b.from)
}

function acceptedRules(program: ProgramText): Link[] {
  return [...linesWith(program, /\bACCEPT\b/i)].flatMap(line => {
    const { text, marks } = readMarks(program, line)
    return marks.filter(mark => mark.kind === 'comment').flatMap((comment): Link[] => {
      const rule = /^ACCEPT\s+([a-z][a-z0-9-]*)/i.exec(commentText(text, comment))?.[1]
      if (rule === undefined || ruleOf(rule.toLowerCase()) === undefined) return []
      const from = text.indexOf(rule, comment.from + 'ACCEPT'.length)
      return [{ line, from, to: from + rule.length, kind: 'rule', rule: rule.toLowerCase() }]
    })
  })
}
