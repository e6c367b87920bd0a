// How pictures are written down: the same numbers give the same letters.

/** A number for a picture: two decimals are finer than a printer's dot. */
export function fixed(value: number): string {
  const text = value.toFixed(2)
  return text === '-0.00' ? '0.00' : text
}

/** Text as text, in an element or in a quoted attribute. */
export function escaped(text: string): string {
  return text.replace(/[&<>"']/g, character => `&#${character.charCodeAt(0)};`)
}

/** The letters of a path through these places; `close` leads back to the first. */
export function pathThrough(points: readonly (readonly [number, number])[], close = false): string {
  return points.map(([x, y], n) => `${n === 0 ? 'M' : 'L'}${fixed(x)} ${fixed(y)}`).join('') + (close ? 'Z' : '')
}

/** A drawing that says in words what it shows. `words`: one sentence for those who cannot see it. */
export function drawing(width: number, height: number, words: string, inside: readonly string[]): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="${escaped(words)}" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}">${inside.join('')}</svg>`
}

/** A length as it was given. */
export function lengthWords(mm: number): string {
  return `${Number(mm.toFixed(4))} mm`
}

/** The largest of 1, 2 and 5 times a power of ten that is not above `most`. */
export function roundLength(most: number): number {
  const power = 10 ** Math.floor(Math.log10(most))
  return [5, 2, 1].map(step => step * power).find(length => length <= most) ?? power
}
