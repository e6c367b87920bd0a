/** Horizontal strokes of one tone each, with its colour; dots with tone 0 stay blank. `tones`: of each dot, row by row. */
export function toneRows(tones: Uint8Array, width: number, colourOf: (tone: number) => string): string[] {
  const strokes = new Map<number, { d: string, x: number, y: number }>()
  for (let at = 0; at < tones.length;) {
    const tone = tones[at], x = at % width, y = (at - x) / width, rowEnd = at - x + width
    let end = at + 1
    while (end < rowEnd && tones[end] === tone) end++
    if (tone > 0) {
      const last = strokes.get(tone)
      // From the end of the last stroke on, which is shorter than a place.
      if (last === undefined) strokes.set(tone, { d: `M${x} ${y}.5h${end - at}`, x: x + end - at, y })
      else {
        last.d += `m${x - last.x} ${y - last.y}h${end - at}`
        last.x = x + end - at
        last.y = y
      }
    }
    at = end
  }
  return [...strokes].sort(([a], [b]) => a - b).map(([tone, { d }]) => `<path class="shade" stroke="${colourOf(tone)}" d="${d}"/>`)
}

/** Red, green and blue, 0 to 1, as a picture names them. */
export function colourName(parts: readonly number[]): string {
  return `#${parts.map(part => Math.round(255 * Math.min(1, Math.max(0, part))).toString(16).padStart(2, '0')).join('')}`
}
