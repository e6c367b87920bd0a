import type { Finding } from '../../../shared/finding.ts'

/** The comment that accepts a finding, and where it goes: a line of its own above the block. */
export interface Acceptance {
  /** 0-based line that the text is put in front of. */
  readonly line: number
  readonly text: string
}

/**
 * Writes the reviewer's comment for a finding. A contact finding is accepted with its figure, so that
 * the comment does not cover a deeper cut or a smaller gap made later.
 */
export function acceptanceOf(text: string, line: number, rule: string, reason: string, finding: Finding | undefined): Acceptance {
  const lineEnd = text.includes('\r\n') ? '\r\n' : '\n'
  const figure = figureOf(finding)
  return { line, text: `(ACCEPT ${rule}${figure === undefined ? '' : ` ${figure}`}: ${asComment(reason)})${lineEnd}` }
}

/** Rounded to the side that still covers what was seen: three decimals of a millimetre. */
function figureOf(finding: Finding | undefined): string | undefined {
  const { depth, clearance } = finding?.contact ?? {}
  if (depth !== undefined) return (Math.ceil(depth * 1000 - 1e-6) / 1000).toFixed(3)
  if (clearance !== undefined && clearance >= 0) return (Math.floor(clearance * 1000 + 1e-6) / 1000).toFixed(3)
  return undefined
}

/** A comment ends at its first closing bracket and with its line: neither may stand in the reason. */
function asComment(reason: string): string {
  return reason.replaceAll('(', '[').replaceAll(')', ']').replace(/\s+/g, ' ').trim()
}
