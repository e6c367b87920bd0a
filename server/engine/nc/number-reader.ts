// Reads a number out of a line by hand: no slices, no objects. NISTIR 6556 3.3.2.1: an optional
// sign, digits with an optional point, at least one digit, no exponent; 3.3: spaces and tabs mean nothing.

/** Why a number could not be read. */
export type NumberFault = 'none' | 'no-digits' | 'two-points' | 'sign-inside' | 'too-many-digits'

/** More digits than this carry nothing: float64 holds about 17. */
const MOST_DIGITS = 64

const powersOfTen = Float64Array.from({ length: 23 }, (_, power) => 10 ** power)

/** The result stands in the fields and is overwritten by the next number. */
export class NumberReader {
  value = 0
  hasPoint = false
  hasSign = false
  fault: NumberFault = 'none'
  digits = 0
  /** Offset behind the last character that belongs to the number. */
  end = 0
  /** Offset of the first character that does not: behind the blanks. */
  next = 0

  /** Reads from `start`; `limit`: the length of the text. */
  read(text: string, start: number, limit: number): void {
    let at = start, end = start
    let mantissa = 0, digits = 0, decimals = 0
    let hasPoint = false, negative = false, hasSign = false
    let fault: NumberFault = 'none'
    for (; at < limit; at++) {
      const code = text.charCodeAt(at)
      if (code >= 48 && code <= 57) {
        digits++
        // Up to 15 digits are exact in a float64; longer numbers are read again below.
        if (digits <= 15) mantissa = mantissa * 10 + (code - 48)
        if (hasPoint) decimals++
      } else if (code === 46) {
        if (hasPoint) fault = 'two-points'
        hasPoint = true
      } else if (code === 45 || code === 43) {
        if (hasSign || digits > 0 || hasPoint) fault = 'sign-inside'
        hasSign = true
        if (code === 45) negative = true
      } else if (code === 32 || code === 9) {
        continue
      } else {
        break
      }
      end = at + 1
    }
    if (fault === 'none' && digits === 0) fault = 'no-digits'
    if (digits > MOST_DIGITS) fault = 'too-many-digits'
    let value = mantissa
    if (digits > 15 && fault === 'none') value = Math.abs(Number(text.slice(start, end).replace(/[ \t]/g, '')))
    else if (decimals > 0) value = mantissa / (powersOfTen[decimals] ?? 1)
    this.value = negative ? -value : value
    this.hasPoint = hasPoint
    this.hasSign = hasSign
    this.fault = fault
    this.digits = digits
    this.end = end
    this.next = at
  }
}
