import type { SeededRandom } from '../harness/seeded-random.ts'

// Spoils inputs the way editors, copying and other programs do.

/** Bits of programs that sit next to each other badly. */
const scraps = [
  'G0', 'G1', 'G2', 'G3', 'G43.4', 'G43.5', 'G49', 'G68.2', 'G53.1', 'G69', 'G91', 'G90', 'G93', 'G94', 'G41', 'G40', 'G81', 'G83', 'G80', 'G92', 'G10', 'G28', 'G53',
  'M98 P1', 'M99', 'G65 P1', 'G66 P1', 'G67', 'WHILE [1 EQ 1] DO1', 'END1', 'GOTO 10', 'IF [#1 GT 2] GOTO 10', '#1=#1+1', '#1=1', 'X#1', 'X[1/0]', 'X', 'Y1.2.3', '(', ')', '[', ']', ';', '%', '/', 'N10', 'O1',
  'X1e5', 'A360.', 'C-720.', 'I1 J1', 'R-5', 'F0', 'S-1', 'T99', 'M6', 'H7', '-', '+', '.', '\t', '\0', '\u00e9', '\u{1F527}', '\r', '\n', '999999999999999999999',
] as const

/** The text with a few places changed. */
export function spoilText(text: string, random: SeededRandom): string {
  let result = text
  for (let n = random.whole(1, 8); n > 0; n--) {
    const at = random.whole(0, result.length), length = random.whole(0, random.pick([1, 5, 40]))
    const kind = random.whole(0, 4)
    if (kind === 0) result = result.slice(0, at) + result.slice(at + length)
    else if (kind === 1) result = result.slice(0, at) + random.pick(scraps) + result.slice(at)
    else if (kind === 2) result = result.slice(0, at) + String.fromCharCode(random.whole(0, 255)) + result.slice(at + 1)
    else if (kind === 3) {
      const from = random.whole(0, result.length)
      result = result.slice(0, at) + result.slice(from, from + length) + result.slice(at)
    } else result = result.slice(0, at) + random.pick([' ', '\n', '']) + random.pick(scraps) + random.pick([' ', '\n', '']) + result.slice(at + length)
  }
  return result
}

/** A text of scraps alone. */
export function scrapText(random: SeededRandom): string {
  return Array.from({ length: random.whole(0, 200) }, () => random.pick(scraps)).join(random.pick(['', ' ', '\n']))
}

/** The bytes with a few places changed, cut or doubled. */
export function spoilBytes(bytes: Uint8Array, random: SeededRandom): Uint8Array {
  const result = bytes.slice()
  for (let n = random.whole(1, 12); n > 0 && result.length > 0; n--) {
    const at = random.whole(0, result.length - 1)
    if (random.next() < 0.3) result.copyWithin(at, random.whole(0, result.length - 1), result.length)
    else result[at] = random.whole(0, 255)
  }
  return random.next() < 0.3 ? result.slice(0, random.whole(0, result.length)) : result
}
