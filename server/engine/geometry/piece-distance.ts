import { ELEMENT_STRIDE, ElementKind, type ConvexOutline } from './convex-outline.ts'

/**
 * Signed distance to one convex piece of revolution and its gradient, in the piece's own
 * (radius, height) half-plane; mm. One instance serves one search: the gradient of the last call
 * stands in `gr`, `gh` (a unit vector; a valid subgradient where f has none).
 */
export class PieceDistance {
  gr = 0
  gh = 1
  readonly outline: ConvexOutline
  /** Lines: normal r, normal h, offset. */
  readonly #lines: Float64Array
  readonly #lineCount: number
  /** Arcs: centre r, centre h, radius, first normal, last normal. */
  readonly #arcs: Float64Array
  readonly #arcCount: number

  constructor(outline: ConvexOutline) {
    this.outline = outline
    const lines: number[] = [], arcs: number[] = []
    for (let i = 0; i < outline.count; i++) {
      const element = outline.elements.subarray(i * ELEMENT_STRIDE, (i + 1) * ELEMENT_STRIDE)
      if (element[0] === ElementKind.line) lines.push(element[1], element[2], element[3])
      else arcs.push(...element.subarray(1))
    }
    this.#lines = Float64Array.from(lines)
    this.#lineCount = lines.length
    this.#arcs = Float64Array.from(arcs)
    this.#arcCount = arcs.length
  }

  /** f at (r, h), r ≥ 0. */
  at(r: number, h: number): number {
    const lines = this.#lines, arcs = this.#arcs
    let best = -Infinity, gr = 0, gh = 1
    for (let i = 0; i < this.#lineCount; i += 3) {
      const s = lines[i] * r + lines[i + 1] * h - lines[i + 2]
      if (s > best) {
        best = s
        gr = lines[i]
        gh = lines[i + 1]
      }
    }
    for (let i = 0; i < this.#arcCount; i += 7) {
      const dr = r - arcs[i], dh = h - arcs[i + 1]
      // Between the first and the last normal, counterclockwise: less than half a turn apart.
      if (arcs[i + 3] * dh - arcs[i + 4] * dr < 0 || dr * arcs[i + 6] - dh * arcs[i + 5] < 0) continue
      const distance = Math.sqrt(dr * dr + dh * dh)
      const s = distance - arcs[i + 2]
      if (s >= best) {
        best = s
        if (distance > 0) {
          gr = dr / distance
          gh = dh / distance
        } else {
          gr = arcs[i + 3]
          gh = arcs[i + 4]
        }
      }
    }
    this.gr = gr
    this.gh = gh
    return best
  }
}
