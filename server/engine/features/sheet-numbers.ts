import type { Setup } from '../../../shared/setup.ts'
import type { Edit } from '../../../shared/finding.ts'

/** A replacement in the setup sheet. */
export interface SheetEdit extends Edit {
  readonly path: string
}

/**
 * The sequence numbers that the sheet's passes name, changed: `renumber` answers with the new number, or undefined where
 * it stays. The sheet is text of the user's own, so only the digits are touched.
 */
export function passNumbers(setup: Setup | undefined, sheetText: string | undefined, renumber: (number: number) => number | undefined): SheetEdit[] {
  if (setup === undefined || sheetText === undefined) return []
  return setup.passes.flatMap(({ span }) => {
    const text = sheetText.slice(span.start, span.end)
    return [...text.matchAll(/("(?:from|to)"\s*:\s*"?[Nn]?)(\d+)/g)].flatMap(({ 0: whole, 1: before = '', 2: digits = '', index }): SheetEdit[] => {
      const number = renumber(Number(digits))
      if (number === undefined || number === Number(digits)) return []
      const start = span.start + index + before.length
      return [{ path: setup.path, span: { start, end: span.start + index + whole.length }, text: String(number) }]
    })
  })
}
