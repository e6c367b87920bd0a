import type { Finding } from '../../../shared/finding.ts'
import type { Span } from '../../../shared/span.ts'
import { ruleOf } from './all-rules.ts'
import { sortFindings, levelOf, type LevelSettings } from './level-findings.ts'
import { waiverMentions } from './waiver-mentions.ts'

/** A reviewer's comment `(ACCEPT rule-id: REASON)` or `(ACCEPT rule-id 0.02: REASON)`. */
export interface Waiver {
  readonly span: Span
  /** Lower case; empty where the comment cannot be read as a waiver. */
  readonly rule: string
  /** Deepest penetration, smallest clearance or tallest material that was accepted, mm. */
  readonly figure: number | undefined
  readonly reason: string
  /** The text of the block it stands on or above. */
  readonly covers: Span
}

/** Figures are shown with three decimals; half of the last one is not "deeper than accepted". */
const SHOWN = 0.0005

/**
 * Marks the findings that a reviewer's comment covers, and adds a finding for each comment that
 * covers nothing or gives no reason. `decided` says whether a rule has had its chance to report:
 * while the contact search still runs, its waivers are not called unused. May be applied again to
 * its own result.
 */
export function applyWaivers(
  findings: readonly Finding[], waivers: readonly Waiver[], decided: (rule: string) => boolean = () => true, levels: LevelSettings = {},
): Finding[] {
  const result = findings.filter(({ rule }) => rule !== 'waiver-unused' && rule !== 'waiver-without-reason')
  const complain = (rule: string, span: Span, message: string) => {
    result.push({ rule, level: levelOf(rule, levels), span, message })
  }
  for (const waiver of waivers) {
    const { rule, span, reason, figure } = waiver
    if (ruleOf(rule) === undefined) {
      complain('waiver-unused', span, rule === ''
        ? 'A waiver is read as "ACCEPT rule-id: reason" or "ACCEPT rule-id figure: reason"; this one is written otherwise and covers nothing.'
        : `This waiver covers nothing: no rule is called ${rule}.`)
      continue
    }
    if (reason === '') {
      complain('waiver-without-reason', span, `This waiver gives no reason, so ${rule} is reported as before.`)
      continue
    }
    let met = false
    for (let i = 0; i < result.length; i++) {
      const finding = result[i]
      if (finding === undefined || finding.rule !== rule || finding.file !== undefined || !startsIn(finding, waiver.covers)) continue
      met = true
      result[i] = isWithin(finding, figure)
        ? { ...finding, waiver: { reason, span } }
        : withRelated(finding, span, `Accepted here to ${figure} mm only.`)
    }
    if (!met && decided(rule)) complain('waiver-unused', span, `This waiver covers nothing: ${rule} is not reported for this block.`)
  }
  return sortFindings(result)
}

/** All waivers of a program, in the order of the text. `mentions`: its `waiverMentions`, where they are known. */
export function readWaivers(text: string, mentions = waiverMentions(text)): Waiver[] {
  const waivers: Waiver[] = []
  let seen = -1
  for (const mention of mentions) {
    // One line's comments are read once.
    if (mention < seen) continue
    const line = lineAround(text, mention)
    for (const comment of commentsOf(text, line)) {
      const waiver = readWaiver(text, comment, line)
      if (waiver !== undefined) waivers.push(waiver)
    }
    seen = line.end
  }
  return waivers
}

function readWaiver(text: string, comment: Span, line: Span): Waiver | undefined {
  const inner = text.slice(comment.start, comment.end).replace(/^[(;]\s*/, '').replace(/\s*\)?\s*$/, '')
  if (!/^ACCEPT\b/i.test(inner)) return undefined
  const parts = /^ACCEPT\s+([a-z][a-z0-9-]*)(?:\s+(\d*\.?\d+)\s*(mm|inch)?)?\s*(?::\s*(.*))?$/i.exec(inner)
  const covers = holdsBlock(text, line) ? line : nextBlock(text, line)
  if (parts === null) return { span: comment, rule: '', figure: undefined, reason: '', covers }
  const [, rule = '', number, unit = 'mm', reason = ''] = parts
  const figure = number === undefined ? undefined : Number(number) * (unit.toLowerCase() === 'inch' ? 25.4 : 1)
  return { span: comment, rule: rule.toLowerCase(), figure, reason: reason.trim(), covers }
}

function startsIn({ span }: Finding, covers: Span): boolean {
  return span.start >= covers.start && span.start <= covers.end
}

/** Whether the finding is no worse than what was accepted. */
function isWithin({ contact, result }: Finding, figure: number | undefined): boolean {
  if (figure !== undefined && result?.height !== undefined) return result.height <= figure + SHOWN
  if (figure === undefined || contact === undefined) return true
  if (contact.depth !== undefined) return contact.depth <= figure + SHOWN
  return contact.clearance === undefined || contact.clearance >= figure - SHOWN
}

function withRelated(finding: Finding, span: Span, message: string): Finding {
  const related = finding.related ?? []
  if (related.some(place => place.span.start === span.start && place.message === message)) return finding
  return { ...finding, related: [...related, { span, message }] }
}

function lineAround(text: string, offset: number): Span {
  const start = Math.max(text.lastIndexOf('\n', offset - 1), text.lastIndexOf('\r', offset - 1)) + 1
  return { start, end: lineEnd(text, offset) }
}

function lineEnd(text: string, from: number): number {
  for (let i = from; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if (code === 10 || code === 13) return i
  }
  return text.length
}

/** Bracketed comments, which end at the bracket or with the line, and a semicolon's rest of the line. */
function commentsOf(text: string, line: Span): Span[] {
  const comments: Span[] = []
  let at = line.start
  while (at < line.end) {
    const char = text[at]
    if (char === ';') {
      comments.push({ start: at, end: line.end })
      break
    }
    if (char === '(') {
      const close = text.indexOf(')', at)
      const end = close < 0 || close >= line.end ? line.end : close + 1
      comments.push({ start: at, end })
      at = end
    } else at++
  }
  return comments
}

/** A line that holds more than comments, a skip sign and a sequence number. */
function holdsBlock(text: string, line: Span): boolean {
  let rest = ''
  let from = line.start
  for (const comment of commentsOf(text, line)) {
    rest += text.slice(from, comment.start)
    from = comment.end
  }
  rest += text.slice(from, line.end)
  return rest.replace(/^\s*\/?\d?\s*(?:[Nn]\s*\d+)?/, '').trim() !== ''
}

/** The next line that holds a block, so that waivers can stand one above the other; empty at the end of the text. */
function nextBlock(text: string, line: Span): Span {
  let end = line.end
  while (end < text.length) {
    const start = end + (text.startsWith('\r\n', end) ? 2 : 1)
    end = lineEnd(text, start)
    const next = { start, end }
    if (holdsBlock(text, next)) return next
    // A blank line ends the reach of a waiver: it belongs to what follows at once.
    if (text.slice(start, end).trim() === '') return line
  }
  return line
}
