import { functionNames } from './expression.ts'

// Finds where a stretch of text ends that is passed over as a whole: comments, expressions, keywords.
// Each walk stops at the line's end at the latest.

/** Words that steer the order of blocks on controls with variables. */
const controlFlow = new Set(['IF', 'THEN', 'ELSE', 'ENDIF', 'GOTO', 'WHILE', 'DO', 'END', 'ENDW', 'RETURN', 'CALL', 'FOR', 'NEXT', 'REPEAT', 'UNTIL'])

/** Whether the letters in [start, end) are such a word. */
export function isControlFlow(text: string, start: number, end: number): boolean {
  return end - start >= 2 && end - start <= 8 && controlFlow.has(text.slice(start, end).toUpperCase())
}

/** Offset behind the letters that stand together from `start`. */
export function letterRunEnd(text: string, start: number): number {
  let at = start
  while (at < text.length && isLetter(text.charCodeAt(at))) at++
  return at
}

/** Offset behind the `)` that closes the comment at `start`, counting comments inside it; -1 when the line ends first. */
export function commentEnd(text: string, start: number): number {
  let depth = 0
  let firstClose = -1
  for (let at = start; at < text.length; at++) {
    const code = text.charCodeAt(at)
    if (code === 10 || code === 13) break
    if (code === 40) depth++
    if (code === 41) {
      if (firstClose < 0) firstClose = at + 1
      if (--depth === 0) return at + 1
    }
  }
  // "(A (B) G1 X1": the first ")" ends the comment, as on any control.
  return firstClose
}

/**
 * Offset behind an expression that begins at `start` with `#` or `[`. It ends before the next
 * address letter outside brackets; a run of letters before a bracket is a function's name.
 *
 *   X#12 Y[2 * SIN[30]] (…)
 *    ^---^
 */
export function expressionEnd(text: string, start: number): number {
  let depth = 0
  let end = start
  for (let at = start; at < text.length; at++) {
    const code = text.charCodeAt(at)
    if (code === 10 || code === 13 || code === 59 || code === 40) break
    if (code === 32 || code === 9) continue
    if (code === 60) {
      // The name of a variable: #<depth of cut>.
      const close = text.indexOf('>', at)
      if (close > 0 && close < lineEndFrom(text, at)) at = close
    } else if (code === 35 && depth === 0 && at > start && endsValue(text.charCodeAt(end - 1))) break
    else if (code === 91) depth++
    else if (code === 93) {
      if (depth === 0) break
      depth--
    } else if (depth === 0 && isLetter(code)) {
      const run = letterRunEnd(text, at)
      if (run - at < 2 || text.charCodeAt(run) !== 91) break
      at = run - 1
    }
    end = at + 1
  }
  return end
}

function lineEndFrom(text: string, from: number): number {
  let at = from
  while (at < text.length && text.charCodeAt(at) !== 10 && text.charCodeAt(at) !== 13) at++
  return at
}

/** Whether a value ends with this character: a # behind it begins the setting of a variable. */
function endsValue(code: number): boolean {
  return code >= 48 && code <= 57 || code === 46 || code === 93 || code === 62
}

/** Offset of the outermost bracket that stays open in [start, end), or -1. */
export function openBracket(text: string, start: number, end: number): number {
  const open: number[] = []
  for (let at = start; at < end; at++) {
    const code = text.charCodeAt(at)
    if (code === 91) {
      if (open.length < 64) open.push(at)
    } else if (code === 93) open.pop()
  }
  return open[0] ?? -1
}

/** Whether a function's name and its bracket begin here: the `ASIN[` of `X ASIN[0.5]`. */
export function startsFunction(text: string, at: number): boolean {
  const run = letterRunEnd(text, at)
  return run - at >= 2 && run - at <= 5 && text.charCodeAt(run) === 91 && functionNames.has(text.slice(at, run).toUpperCase())
}

function isLetter(code: number): boolean {
  return code >= 65 && code <= 90 || code >= 97 && code <= 122
}

/** Where the first comment of a stretch begins, or its end without the blanks before it. */
export function commentStart(text: string, from: number, to: number): number {
  let at = from
  while (at < to && text.charCodeAt(at) !== 40 && text.charCodeAt(at) !== 59) at++
  while (at > from && (text.charCodeAt(at - 1) === 32 || text.charCodeAt(at - 1) === 9)) at--
  return at
}

/** Whether a number, or blanks before one, begin here. */
export function startsNumber(text: string, at: number): boolean {
  const code = text.charCodeAt(at)
  return code >= 48 && code <= 57 || code === 46 || code === 45 || code === 43 || code === 32 || code === 9
}

/** Offset behind the digits, points and signs that follow directly. */
export function numberEnd(text: string, start: number): number {
  let at = start
  while (at < text.length) {
    const code = text.charCodeAt(at)
    if ((code < 48 || code > 57) && code !== 46 && code !== 45 && code !== 43) break
    at++
  }
  return at
}

/** The end of a run of characters that begin no word, comment or line end. */
export function strayEnd(text: string, start: number): number {
  let at = start + 1
  for (; at < text.length; at++) {
    const code = text.charCodeAt(at)
    if (code >= 65 && code <= 90 || code >= 97 && code <= 122) break
    if (code === 10 || code === 13 || code === 32 || code === 9) break
    if (code === 40 || code === 59 || code === 91 || code === 35) break
  }
  return at
}
