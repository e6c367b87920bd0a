/**
 * Whether a path relative to the sheet's folder, with forward slashes, fits a glob:
 * `*` any characters within a folder, `**` any folders, `?` one character. Everything else is itself.
 */
export function matchesGlob(path: string, glob: string): boolean {
  const pattern = plainSegments(glob.replaceAll('\\', '/'))
  const segments = plainSegments(path)
  // Row by row over the pattern: which beginnings of the path are matched so far.
  let reached = new Set([0])
  for (const part of pattern) {
    const next = new Set<number>()
    for (const from of reached) {
      if (part === '**') for (let to = from; to <= segments.length; to++) next.add(to)
      else if (from < segments.length && fits(segments[from] ?? '', part)) next.add(from + 1)
    }
    reached = next
  }
  return reached.has(segments.length)
}

/** Whether a glob stands for more than the one name it is. */
export function isPattern(glob: string): boolean {
  return /[*?]/.test(glob)
}

function plainSegments(path: string): string[] {
  const segments: string[] = []
  for (const segment of path.split('/')) {
    if (segment === '' || segment === '.') continue
    if (segment === '..' && segments.length > 0 && segments.at(-1) !== '..') segments.pop()
    else segments.push(segment)
  }
  return segments
}

/** One segment against a pattern with * and ?; the last * takes one character more whenever the rest does not fit. */
function fits(text: string, pattern: string): boolean {
  let t = 0, p = 0, star = -1, resume = 0
  while (t < text.length) {
    if (p < pattern.length && pattern[p] === '*') {
      star = p++
      resume = t
    } else if (p < pattern.length && (pattern[p] === '?' || pattern[p] === text[t])) {
      t++
      p++
    } else if (star >= 0) {
      p = star + 1
      t = ++resume
    } else return false
  }
  while (pattern[p] === '*') p++
  return p === pattern.length
}
