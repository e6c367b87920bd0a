/** The known name that a misspelt one most likely stands for; undefined where none is near. */
export function nearestName(written: string, known: readonly string[]): string | undefined {
  let nearest: string | undefined
  // More than a third of the letters wrong is no longer a slip.
  let fewest = Math.max(2, Math.floor(written.length / 3)) + 1
  for (const name of known) {
    const changes = changesBetween(written.toLowerCase(), name.toLowerCase())
    if (changes < fewest) {
      fewest = changes
      nearest = name
    }
  }
  return nearest
}

/** Fewest single letters to insert, delete or replace (Levenshtein's distance, one row at a time). */
function changesBetween(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, column) => column)
  for (let i = 1; i <= a.length; i++) {
    const next = [i]
    for (let j = 1; j <= b.length; j++) {
      const replace = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1)
      next.push(Math.min(replace, (row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1))
    }
    row = next
  }
  return row[b.length] ?? 0
}
