import type { ComparedPath } from './compared-path.ts'
import { align } from './align.ts'

/** A block, or the words of one, that shows in no motion and stands in one program only. */
export interface OtherWords {
  /** 1-based, in its own program. */
  readonly line: number
  readonly words: string
}

export interface OtherChanges {
  readonly gone: readonly OtherWords[]
  readonly new: readonly OtherWords[]
}

/**
 * Words whose effect shows in the motions and in what is in force while they run: axes, feeds, speeds,
 * tools, offsets, and the modal codes of the standard. Whatever else a block says is compared as text.
 */
const shownByMotion = new Set([
  ...[0, 1, 2, 3, 17, 18, 19, 20, 21, 40, 41, 42, 43, 43.4, 43.5, 49, 53, 53.1, 54, 55, 56, 57, 58, 59, 59.1, 59.2, 59.3, 68.2, 69, 70, 71, 80, 90, 91, 93, 94, 95].map(code => `G${code}`),
  'M6',
])

/** Spindle and coolant codes. A stop between two motions shows in neither, so they count as shown only where a motion tells of a change. */
const codesOf = { spindle: new Set(['M3', 'M4', 'M5']), coolant: new Set(['M7', 'M8', 'M9']) } as const

const axisWords = 'ABCDFHIJKRSTUVWXYZ'

/** One word: a letter and a plain number. What holds brackets, variables or jumps is compared as it stands. */
const word = /([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))/gy

/**
 * The words of both programs that show in no motion, matched in order between the motions that belong to each other.
 * `told`: what is already said to be in force otherwise than before.
 */
export function otherChanges(before: ComparedPath, after: ComparedPath, pairs: readonly (readonly [oldMotion: number, newMotion: number])[], told: ReadonlySet<string>, words: { readonly old: (line: number) => string, readonly new: (line: number) => string }): OtherChanges {
  const numbers = new Map<string, number>()
  const numberOf = (key: string): number => {
    const known = numbers.get(key)
    if (known !== undefined) return known
    numbers.set(key, numbers.size)
    return numbers.size - 1
  }
  // Blocks whose motions belong to each other get one key, so that words are looked for in the right place.
  const oldKeys = new Map<number, string>(), newKeys = new Map<number, string>()
  for (const [i, j] of pairs) {
    const oldLine = before.toolpath.line[i] ?? 0, newLine = after.toolpath.line[j] ?? 0
    if (oldKeys.has(oldLine) || newKeys.has(newLine)) continue
    oldKeys.set(oldLine, `pair ${i}`)
    newKeys.set(newLine, `pair ${i}`)
  }
  const shown = new Set([...shownByMotion, ...told.has('spindle') ? codesOf.spindle : [], ...told.has('coolant') ? codesOf.coolant : []])
  const old = entriesOf(before, oldKeys, words.old, shown), now = entriesOf(after, newKeys, words.new, shown)
  const matched = align(old.map(entry => numberOf(entry.key)), now.map(entry => numberOf(entry.key)))
  const keptOld = new Set(matched.map(([a]) => a)), keptNew = new Set(matched.map(([, b]) => b))
  const left = (entries: readonly Entry[], kept: ReadonlySet<number>) =>
    entries.flatMap(({ line, words: text }, n) => kept.has(n) || text === undefined ? [] : [{ line: line + 1, words: text }])
  return { gone: left(old, keptOld), new: left(now, keptNew) }
}

/** A place among the motions, or words; a place has no words of its own to tell. */
interface Entry {
  readonly line: number
  readonly key: string
  readonly words?: string
}

function entriesOf({ lineStarts }: ComparedPath, motionKeys: ReadonlyMap<number, string>, wordsOf: (line: number) => string, shown: ReadonlySet<string>): Entry[] {
  const entries: Entry[] = []
  for (let line = 0; line < lineStarts.length - 1; line++) {
    const key = motionKeys.get(line)
    if (key !== undefined) entries.push({ line, key })
    const rest = withoutShown(wordsOf(line), shown)
    if (rest !== '') entries.push({ line, key: rest, words: rest })
  }
  return entries
}

/** What is left of a block when the words are taken out that motions show; numbers in one spelling. */
function withoutShown(block: string, shown: ReadonlySet<string>): string {
  const kept: string[] = []
  word.lastIndex = 0
  let at = 0
  for (let match = word.exec(block); match !== null; match = word.exec(block)) {
    at = word.lastIndex
    const letter = match[1] ?? '', spelt = `${letter}${Number(match[2])}`
    if (!axisWords.includes(letter) && !shown.has(spelt)) kept.push(spelt)
  }
  return at === block.length ? kept.join(' ') : block
}
