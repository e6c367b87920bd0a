import { SeededRandom } from '../harness/seeded-random.ts'

/** One change as an editor sends it: characters of one line replaced. `pause`: the writer stops after it. */
export interface RecordedEdit {
  readonly line: number
  readonly from: number
  readonly to: number
  readonly text: string
  readonly pause: boolean
}

/** Characters a minute of a quick writer are some 300: no more than this many come between two pauses. */
const BURST = 12

/**
 * A session of edits in a program of that many blocks, the same for the same seed: figures typed over letter by letter, letters
 * taken back, words added at the end of a block, in a handful of places that the writer comes back to. Columns suit lines of `length`.
 */
export function editingSession(edits: number, lines: readonly string[], seed: number): RecordedEdit[] {
  const random = new SeededRandom(seed), session: RecordedEdit[] = [], text = new Map<number, string>()
  const places = Array.from({ length: 8 }, () => random.whole(20, lines.length - 20))
  const lineAt = (line: number) => text.get(line) ?? lines[line] ?? ''
  const change = (line: number, from: number, to: number, put: string) => {
    const before = lineAt(line)
    text.set(line, before.slice(0, from) + put + before.slice(to))
    session.push({ line, from, to, text: put, pause: false })
  }
  while (session.length < edits) {
    const line = random.pick(places), length = random.whole(3, BURST)
    const kind = random.whole(0, 2)
    if (kind === 0) {
      // A word more, letter by letter.
      for (const letter of random.pick([' F750.', ' M8', ' S9000', ' (LIP)'])) change(line, lineAt(line).length, lineAt(line).length, letter)
    } else if (kind === 1) {
      // Taken back from the end.
      for (let n = 0; n < length && lineAt(line).length > 8; n++) change(line, lineAt(line).length - 1, lineAt(line).length, '')
    } else {
      // A digit typed over, twice.
      const at = lineAt(line).search(/\d\.?\d*$/)
      if (at < 0) continue
      change(line, at, at + 1, String(random.whole(0, 9)))
      change(line, at, at + 1, String(random.whole(0, 9)))
    }
    const last = session.at(-1)
    if (last !== undefined) session[session.length - 1] = { ...last, pause: true }
  }
  return session.slice(0, edits)
}
