// The slow twin of the comparison: tool paths read off the words alone, cut into many points and held
// against each other point by point. Nothing of the engine takes part.

export type Waypoint = Readonly<Record<'X' | 'Y' | 'Z' | 'A' | 'C', number>>
export interface Sample { readonly point: readonly [number, number, number], readonly axis: readonly [number, number, number] }

/** Ends of the moves under tool-centre control, as written; mm and degrees. */
export function waypointsOf(text: string): Waypoint[] {
  const words = { X: 0, Y: 0, Z: 0, A: 0, C: 0 }, points: Waypoint[] = []
  let isOn = false
  for (const line of text.split(/\r?\n/)) {
    const block = line.replace(/\(.*?\)/g, '').toUpperCase().replace(/\s/g, '')
    if (block.includes('G43.4')) isOn = true
    if (block.includes('G49')) isOn = false
    const axes = [...block.matchAll(/([XYZAC])([-+]?[\d.]+)/g)]
    for (const [, letter, value] of axes) words[letter as keyof typeof words] = Number(value)
    if (isOn && axes.length > 0) points.push({ ...words })
  }
  return points
}

/** The stretch in which two lists differ, with one common point before it and one behind, cut into samples. */
export function denseMiddles(old: readonly Waypoint[], now: readonly Waypoint[], most: number): { readonly old: Sample[], readonly now: Sample[], readonly spacing: number } {
  const same = (a: Waypoint | undefined, b: Waypoint | undefined) => JSON.stringify(a) === JSON.stringify(b)
  let head = 0, tail = 0
  while (head < Math.min(old.length, now.length) && same(old[head], now[head])) head++
  while (tail < Math.min(old.length, now.length) - head && same(old.at(-1 - tail), now.at(-1 - tail))) tail++
  const middle = (list: readonly Waypoint[]) => list.slice(Math.max(0, head - 1), tail === 0 ? undefined : list.length - tail + 1)
  const [a, b] = [middle(old), middle(now)], moves = Math.max(a.length, b.length, 2) - 1, each = Math.max(2, Math.floor(most / moves))
  const dense = [samplesOf(a, each), samplesOf(b, each)] as const
  const spacing = Math.max(...dense.flatMap(list => list.slice(1).map((sample, i) => distance(sample, list[i]))), 0)
  return { old: dense[0], now: dense[1], spacing }
}

/** Tool point straight, rotary axes evenly; the tool axis of a table A under C by ISO 841 is Rz(C) Rx(A) z. */
function samplesOf(points: readonly Waypoint[], each: number): Sample[] {
  const samples: Sample[] = []
  points.forEach((to, i) => {
    const from = points[i - 1]
    for (let n = from === undefined ? each : 1; n <= each; n++) {
      const mix = (letter: keyof Waypoint) => from === undefined ? to[letter] : from[letter] + (to[letter] - from[letter]) * n / each
      const A = mix('A') * Math.PI / 180, C = mix('C') * Math.PI / 180
      samples.push({ point: [mix('X'), mix('Y'), mix('Z')], axis: [Math.sin(A) * Math.sin(C), -Math.sin(A) * Math.cos(C), Math.cos(A)] })
    }
  })
  return samples
}

export function distance(a: Sample, b: Sample): number {
  return Math.hypot(a.point[0] - b.point[0], a.point[1] - b.point[1], a.point[2] - b.point[2])
}

export function angle(a: Sample, b: Sample): number {
  return 2 * Math.asin(Math.min(1, Math.hypot(a.axis[0] - b.axis[0], a.axis[1] - b.axis[1], a.axis[2] - b.axis[2]) / 2))
}

/**
 * Discrete Fréchet distance, row by row (Eiter and Mannila, 1994): the least that two walkers must come
 * apart who go through both lists from end to end and never back. It is not less than that of the curves, and more by the spacing at most.
 */
export function frechet(a: readonly Sample[], b: readonly Sample[], apart: (a: Sample, b: Sample) => number): number {
  let row = new Float64Array(b.length)
  a.forEach((sample, i) => {
    const next = new Float64Array(b.length)
    for (let j = 0; j < b.length; j++) {
      const before = i === 0 && j === 0 ? 0 : Math.min(i === 0 ? Infinity : row[j], j === 0 ? Infinity : next[j - 1], i === 0 || j === 0 ? Infinity : row[j - 1])
      next[j] = Math.max(before, apart(sample, b[j]))
    }
    row = next
  })
  return row.at(-1) ?? 0
}
