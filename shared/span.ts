/** A half-open range [start, end) in a text, in UTF-16 code units. */
export interface Span {
  readonly start: number
  readonly end: number
}

/** The smallest span that holds both. */
export function joinSpans(a: Span, b: Span): Span {
  return { start: Math.min(a.start, b.start), end: Math.max(a.end, b.end) }
}

/** Whether the offset lies inside the span; the end itself does not. */
export function spanHolds(span: Span, offset: number): boolean {
  return offset >= span.start && offset < span.end
}
