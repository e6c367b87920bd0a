import { expressionEnd, letterRunEnd } from './skip-text.ts'

// IF, GOTO, WHILE, DO and END as controls with variables have them (common practice; NISTIR 6556 has none).

/** Where the control goes on after a block. */
export interface Flow {
  /** `jump`: to the block N `number`. `loop`: the head of loop `number`. `end`: back to its head. */
  readonly kind: 'jump' | 'loop' | 'end'
  /** NaN where it depends on a value that is not known. */
  readonly number: number
  /** Whether the loop is gone through (once more); undefined: not known. */
  readonly holds: boolean | undefined
  /** A condition decides, so that the blocks behind it may run some other time. */
  readonly isConditional: boolean
  readonly start: number
  readonly end: number
}

export type FlowAnswer =
  | { readonly kind: 'flow', readonly flow: Flow, readonly next: number }
  /** Go on reading words there: a condition that holds, or the end of one that does not. */
  | { readonly kind: 'go-on', readonly next: number, readonly skipsRest: boolean }
  /** The condition depends on a value that is not known. */
  | { readonly kind: 'unknown', readonly end: number, readonly skipsRest: boolean }
  | { readonly kind: 'malformed', readonly expected: string, readonly end: number }

/** Works out the text of [start, end): a number, NaN where it is not known, undefined where it has no value. */
export type Evaluate = (start: number, end: number) => number | undefined

/** Keywords that can be followed. */
export const followed: ReadonlySet<string> = new Set(['IF', 'GOTO', 'WHILE', 'DO', 'END'])

/** Reads the statement whose keyword stands in [start, runEnd). */
export function readFlow(text: string, start: number, runEnd: number, evaluate: Evaluate): FlowAnswer {
  const keyword = text.slice(start, runEnd).toUpperCase()
  if (keyword === 'GOTO') return jump(text, start, runEnd, evaluate, false)
  if (keyword === 'DO' || keyword === 'END') return loop(text, start, runEnd, evaluate, keyword === 'END' ? 'end' : 'loop', true, false)
  const open = blanksEnd(text, runEnd)
  const close = bracketEnd(text, open)
  if (text.charCodeAt(open) !== 91 || close < 0) return { kind: 'malformed', expected: `a condition in brackets behind ${keyword}`, end: expressionEnd(text, open) }
  const condition = evaluate(open, close)
  const next = blanksEnd(text, close), nextEnd = letterRunEnd(text, next)
  const then = text.slice(next, nextEnd).toUpperCase()
  if (keyword === 'WHILE') {
    if (then !== 'DO') return { kind: 'malformed', expected: 'DO behind the condition of WHILE', end: close }
    return loop(text, start, nextEnd, evaluate, 'loop', condition === undefined || Number.isNaN(condition) ? undefined : condition !== 0, true)
  }
  if (then !== 'GOTO' && then !== 'THEN') return { kind: 'malformed', expected: 'GOTO or THEN behind the condition of IF', end: close }
  if (condition === undefined || Number.isNaN(condition)) return { kind: 'unknown', end: close, skipsRest: true }
  if (condition === 0) return { kind: 'go-on', next: nextEnd, skipsRest: true }
  if (then === 'THEN') return { kind: 'go-on', next: nextEnd, skipsRest: false }
  return jump(text, start, nextEnd, evaluate, true)
}

function jump(text: string, start: number, from: number, evaluate: Evaluate, isConditional: boolean): FlowAnswer {
  const at = blanksEnd(text, from), end = valueEnd(text, at)
  if (end === at) return { kind: 'malformed', expected: 'a sequence number behind GOTO', end: from }
  const number = evaluate(at, end)
  return { kind: 'flow', flow: { kind: 'jump', number: number ?? Number.NaN, holds: true, isConditional, start, end }, next: end }
}

function loop(text: string, start: number, from: number, evaluate: Evaluate, kind: 'loop' | 'end', holds: boolean | undefined, isConditional: boolean): FlowAnswer {
  const at = blanksEnd(text, from), end = valueEnd(text, at)
  if (end === at) return { kind: 'malformed', expected: `a number behind ${kind === 'end' ? 'END' : 'DO'}`, end: from }
  return { kind: 'flow', flow: { kind, number: evaluate(at, end) ?? Number.NaN, holds, isConditional, start, end }, next: end }
}

/** Digits, or an expression that begins with `#` or `[`. */
function valueEnd(text: string, at: number): number {
  const code = text.charCodeAt(at)
  if (code === 35 || code === 91) return expressionEnd(text, at)
  let end = at
  while (text.charCodeAt(end) >= 48 && text.charCodeAt(end) <= 57) end++
  return end
}

function blanksEnd(text: string, from: number): number {
  let at = from
  while (text.charCodeAt(at) === 32 || text.charCodeAt(at) === 9) at++
  return at
}

/** Offset behind the bracket that closes the one at `open`, on its line; -1 where there is none. */
function bracketEnd(text: string, open: number): number {
  let depth = 0
  for (let at = open; at < text.length; at++) {
    const code = text.charCodeAt(at)
    if (code === 10 || code === 13) return -1
    if (code === 91) depth++
    if (code === 93 && --depth === 0) return at + 1
  }
  return -1
}
