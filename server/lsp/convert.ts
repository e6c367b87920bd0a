import type { Finding, Level } from '../../shared/finding.ts'
import type { Span } from '../../shared/span.ts'
import { uriOf } from './document-path.ts'
import { DiagnosticSeverity, TextDocument } from './protocol.ts'
import type { Diagnostic, DiagnosticRelatedInformation, Range } from './protocol.ts'
import type { PlacedText } from './read-document.ts'

const severities: Readonly<Record<Level, DiagnosticSeverity>> = {
  error: DiagnosticSeverity.Error,
  warning: DiagnosticSeverity.Warning,
  note: DiagnosticSeverity.Information,
}

/** Turns offsets into lines and columns, for a program and for the files its findings point into. */
export interface Places {
  readonly programUri: string
  /** The program as it was read; offsets of findings without a file count in it. */
  readonly program: PlacedText
  /** A file of the scene as it was read, by path; undefined where it was not text or not read. */
  readonly textOf: (path: string) => string | undefined
}

/** The findings as the protocol has them, by the address of the file they stand in. The program's own list is always there. */
export function toDiagnostics(findings: readonly Finding[], places: Places): Map<string, Diagnostic[]> {
  const byUri = new Map<string, Diagnostic[]>([[places.programUri, []]])
  const documents = new Map<string, PlacedText>()
  const documentOf = (path: string | undefined): PlacedText => {
    if (path === undefined) return places.program
    let document = documents.get(path)
    if (document === undefined) {
      document = TextDocument.create(uriOf(path), 'jsonc', 0, places.textOf(path) ?? '')
      documents.set(path, document)
    }
    return document
  }
  for (const finding of findings) {
    const document = documentOf(finding.file)
    const related = (finding.related ?? []).map((one): DiagnosticRelatedInformation => {
      const there = documentOf(one.file)
      return { location: { uri: there.uri, range: rangeOf(there, one.span) }, message: one.message }
    })
    const list = byUri.get(document.uri) ?? []
    byUri.set(document.uri, list)
    list.push({
      range: rangeOf(document, finding.span),
      severity: finding.waiver === undefined ? severities[finding.level] : DiagnosticSeverity.Hint,
      code: finding.rule,
      source: 'toolwake',
      message: finding.waiver === undefined ? finding.message : `${finding.message} Accepted: ${finding.waiver.reason}`,
      ...(related.length > 0 ? { relatedInformation: related } : {}),
      // An editor that has gone on typing can tell by it that this is about an older text.
      ...(document === places.program ? { data: { version: document.version } } : {}),
    })
  }
  return byUri
}

/** The user's levels over those of the rules; a rule that is `off` is left out. */
export function withLevels(findings: readonly Finding[], levels: Readonly<Record<string, Level | 'off'>>): readonly Finding[] {
  return findings.flatMap(finding => {
    const level = levels[finding.rule]
    if (level === undefined || level === finding.level) return [finding]
    return level === 'off' ? [] : [{ ...finding, level }]
  })
}

/** A place of no width is given the character it stands at, or the one before: an editor draws nothing under nothing. */
function rangeOf(document: PlacedText, span: Span): Range {
  const range = { start: document.positionAt(span.start), end: document.positionAt(span.end) }
  if (span.end > span.start) return range
  const after = document.positionAt(span.end + 1)
  if (after.line === range.start.line && after.character > range.start.character) return { start: range.start, end: after }
  return { start: document.positionAt(Math.max(0, span.start - 1)), end: range.end }
}
