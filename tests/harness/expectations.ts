import type { Finding, Level } from '../../shared/finding.ts'

// A program with remarks: a line whose first visible character is `^` speaks of the nearest program
// line above it and is taken out before the program is read. The carets stand under the marked
// columns; then come level, rule id and, after a colon, words that the message holds.

export interface Expectation {
  readonly level: Level
  readonly rule: string
  readonly words: string | undefined
  /** 0-based line of the program without remarks; columns in UTF-16 code units, end exclusive. */
  readonly line: number
  readonly from: number
  readonly to: number
}

export interface ProgramWithRemarks {
  readonly program: string
  readonly expectations: readonly Expectation[]
}

const remarkLine = /^(\s*)(\^+)\s+(error|warning|note)\s+([a-z][a-z-]*[a-z])(?:\s*:\s*(.*))?$/

/** Takes the remarks out of a text. A line break at the very start is dropped, so that examples can begin on their own line; before a remark it is an empty program line. */
export function readRemarks(text: string): ProgramWithRemarks {
  const lines: string[] = []
  const expectations: Expectation[] = []
  for (const line of text.replace(/^\n(?!\s*\^)/, '').split('\n')) {
    if (!line.trimStart().startsWith('^')) {
      lines.push(line)
      continue
    }
    const parts = remarkLine.exec(line)
    if (parts === null) throw new Error(`a remark reads "^^^ level rule-id: words", but this one is: ${line}`)
    if (lines.length === 0) throw new Error(`a remark needs a program line above it: ${line}`)
    const [, space, carets, level, rule, words] = parts
    expectations.push({
      level: level as Level,
      rule,
      words: words?.trim(),
      line: lines.length - 1,
      from: space.length,
      to: space.length + carets.length,
    })
  }
  return { program: lines.join('\n'), expectations }
}

/** What differs between the findings and the remarks, in words; empty when all agree. */
export function compareFindings(program: string, findings: readonly Finding[], expectations: readonly Expectation[]): string {
  const open = findings.map(finding => ({ finding, place: placeOf(program, finding) }))
  const missing: string[] = []
  for (const wanted of expectations) {
    const at = open.findIndex(({ finding, place }) =>
      finding.rule === wanted.rule && finding.level === wanted.level
      && place.line === wanted.line && place.from === wanted.from && place.to === wanted.to
      && finding.message.includes(wanted.words ?? ''))
    if (at < 0) missing.push(`missing:    ${showPlace(wanted)} ${wanted.level} ${wanted.rule}${wanted.words === undefined ? '' : `: ${wanted.words}`}`)
    else open.splice(at, 1)
  }
  const unexpected = open.map(({ finding, place }) => `unexpected: ${showPlace(place)} ${finding.level} ${finding.rule}: ${finding.message}`)
  return [...missing, ...unexpected].join('\n')
}

interface Place { readonly line: number, readonly from: number, readonly to: number }

/** The place as carets can show it: on one line, at least one column wide. */
function placeOf(program: string, { span }: Finding): Place {
  const before = program.slice(0, span.start)
  const line = before.split('\n').length - 1
  const lineStart = before.lastIndexOf('\n') + 1
  const nextBreak = program.indexOf('\n', span.start)
  const lineEnd = nextBreak < 0 ? program.length : nextBreak
  const to = Math.min(span.end, lineEnd) - lineStart
  const from = span.start - lineStart
  return { line, from, to: Math.max(to, from + 1) }
}

function showPlace({ line, from, to }: Place): string {
  return `line ${line + 1}, columns ${from + 1}–${to}`
}
