import type { ViewFrame } from './view-frame.ts'

/** A place of the section, mm on the plane. */
export type SectionPoint = readonly [number, number]

/** A line of the section; closed where the mesh is. */
export interface SectionLine {
  readonly points: readonly SectionPoint[]
  readonly closed: boolean
}

/**
 * Where the plane cuts the triangles (9 numbers each, mm), as lines. An edge is cut at the same place, bit for bit, in both
 * triangles that share it, so that the lines of a closed mesh are closed. A corner on the plane counts as before it.
 */
export function sectionOf(corners: Float64Array, { origin, right, up, toward }: ViewFrame): SectionLine[] {
  const ends = new Map<string, Piece[]>(), pieces: Piece[] = []
  const height = (at: number) => (corners[at] - origin[0]) * toward[0] + (corners[at + 1] - origin[1]) * toward[1] + (corners[at + 2] - origin[2]) * toward[2]
  const cut = (a: number, b: number, heightA: number, heightB: number): SectionPoint => {
    // The same way round whichever triangle asks.
    const [p, q, hp, hq] = isBefore(corners, a, b) ? [a, b, heightA, heightB] : [b, a, heightB, heightA]
    const t = hp / (hp - hq)
    const x = corners[p] + t * (corners[q] - corners[p]) - origin[0], y = corners[p + 1] + t * (corners[q + 1] - corners[p + 1]) - origin[1], z = corners[p + 2] + t * (corners[q + 2] - corners[p + 2]) - origin[2]
    return [x * right[0] + y * right[1] + z * right[2], x * up[0] + y * up[1] + z * up[2]]
  }
  for (let i = 0; i < corners.length; i += 9) {
    const h0 = height(i), h1 = height(i + 3), h2 = height(i + 6)
    const s0 = h0 >= 0, s1 = h1 >= 0, s2 = h2 >= 0
    if (s0 === s1 && s1 === s2) continue
    const found: SectionPoint[] = []
    if (s0 !== s1) found.push(cut(i, i + 3, h0, h1))
    if (s1 !== s2) found.push(cut(i + 3, i + 6, h1, h2))
    if (s2 !== s0) found.push(cut(i + 6, i, h2, h0))
    const [from, to] = found
    if (from[0] === to[0] && from[1] === to[1]) continue
    const piece: Piece = { from, to, used: false }
    pieces.push(piece)
    for (const end of [from, to]) {
      const key = keyOf(end), there = ends.get(key)
      if (there === undefined) ends.set(key, [piece])
      else there.push(piece)
    }
  }
  return pieces.flatMap(piece => piece.used ? [] : [lineFrom(piece, ends)])
}

interface Piece { readonly from: SectionPoint, readonly to: SectionPoint, used: boolean }

function lineFrom(start: Piece, ends: ReadonlyMap<string, readonly Piece[]>): SectionLine {
  start.used = true
  const forward = [start.from, start.to]
  follow(forward, ends)
  if (keyOf(forward[0]) === keyOf(forward[forward.length - 1])) return { points: forward.slice(1), closed: true }
  const backward = [start.from]
  follow(backward, ends)
  return { points: [...backward.slice(1).reverse(), ...forward], closed: false }
}

/** Adds piece after piece to the end of a line. */
function follow(points: SectionPoint[], ends: ReadonlyMap<string, readonly Piece[]>): void {
  for (;;) {
    const end = points[points.length - 1], key = keyOf(end)
    const next = ends.get(key)?.find(piece => !piece.used)
    if (next === undefined) return
    next.used = true
    points.push(keyOf(next.from) === key ? next.to : next.from)
  }
}

function keyOf([x, y]: SectionPoint): string {
  return `${x} ${y}`
}

function isBefore(corners: Float64Array, a: number, b: number): boolean {
  for (let k = 0; k < 3; k++) if (corners[a + k] !== corners[b + k]) return corners[a + k] < corners[b + k]
  return true
}
