/** The known word that takes the fewest slips of the keyboard to reach; capitals count for little. */
export function nearestWord(word: string, known: readonly string[]): { word: string, slips: number } | undefined {
  let best: { word: string, slips: number } | undefined
  for (const candidate of known) {
    const slips = slipsBetween(word.toLowerCase(), candidate.toLowerCase()) + (word[0] === candidate[0] ? 0 : 0.1)
    if (best === undefined || slips < best.slips) best = { word: candidate, slips }
  }
  return best
}

/**
 * Letters put in, left out, changed or swapped with their neighbour: Damerau (1964), restricted form.
 * Words are cut at 40 characters, so that a hostile key costs nothing.
 */
function slipsBetween(a: string, b: string): number {
  const s = a.slice(0, 40), t = b.slice(0, 40)
  let before: number[] = []
  let previous = Array.from({ length: t.length + 1 }, (_, j) => j)
  for (let i = 1; i <= s.length; i++) {
    const row = [i]
    for (let j = 1; j <= t.length; j++) {
      const change = s[i - 1] === t[j - 1] ? 0 : 1
      let least = Math.min(at(previous, j) + 1, at(row, j - 1) + 1, at(previous, j - 1) + change)
      if (i > 1 && j > 1 && s[i - 1] === t[j - 2] && s[i - 2] === t[j - 1]) least = Math.min(least, at(before, j - 2) + 1)
      row.push(least)
    }
    before = previous
    previous = row
  }
  return at(previous, t.length) + Math.max(0, a.length - 40)
}

function at(row: readonly number[], index: number): number {
  return row[index] ?? Infinity
}
