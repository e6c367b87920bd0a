import { ELEMENT_STRIDE, ElementKind, type ConvexOutline } from './convex-outline.ts'

/** A sphere about a point of the axis that forms the piece's lower end, up to where its last normal points. */
export interface BallTip {
  /** Of the centre above the tool point, mm. */
  readonly height: number
  readonly radius: number
  readonly lastNormalR: number
  readonly lastNormalH: number
}

/**
 * Signed distance to one convex piece of revolution and its gradient, in the piece's own
 * (radius, height) half-plane; mm. One instance serves one search: the gradient of the last call
 * stands in `gr`, `gh` (a unit vector; a valid subgradient where f has none).
 */
export class PieceDistance {
  gr = 0
  gh = 1
  readonly outline: ConvexOutline
  /** Radius of the largest ball inside the piece: no point is deeper. */
  readonly inradius: number
  readonly ball: BallTip | undefined
  /** The outline's lines, three numbers each: normal r, normal h, offset. The hottest loop reads them itself. */
  readonly lines: Float64Array
  readonly #lineCount: number
  /** The outline's arcs, seven numbers each: centre r, centre h, radius, first normal, last normal. */
  readonly arcs: Float64Array
  readonly #arcCount: number

  constructor(outline: ConvexOutline) {
    this.outline = outline
    const lines: number[] = [], arcs: number[] = []
    for (let i = 0; i < outline.count; i++) {
      const element = outline.elements.subarray(i * ELEMENT_STRIDE, (i + 1) * ELEMENT_STRIDE)
      if (element[0] === ElementKind.line) lines.push(element[1], element[2], element[3])
      else arcs.push(...element.subarray(1))
    }
    this.lines = Float64Array.from(lines)
    this.#lineCount = lines.length
    this.arcs = Float64Array.from(arcs)
    this.#arcCount = arcs.length
    this.inradius = this.#inscribed()
    this.ball = this.#ballTip()
  }

  #ballTip(): BallTip | undefined {
    const [r, height, radius, firstR, , lastNormalR, lastNormalH] = this.arcs
    return this.#arcCount > 0 && r === 0 && radius > 0 && Math.abs(firstR) < 1e-9 ? { height, radius, lastNormalR, lastNormalH } : undefined
  }

  /**
   * The tangent that comes next after the one `at` has just given: another face of the outline, or
   * the same one on the far side of the axis, whichever is nearer to taking over. Answers its value at
   * (r, h), never above f; its gradient stands in `gr`, `gh`, gr negative on the far side.
   */
  next(r: number, h: number): number {
    const lines = this.lines, arcs = this.arcs, firstR = this.gr, firstH = this.gh
    let best = -Infinity, gr = 0, gh = 1
    for (let i = 0; i < this.#lineCount; i += 3) {
      const nr = lines[i], nh = lines[i + 1], isFirst = nr === firstR && nh === firstH
      if (isFirst && nr <= 0) continue
      const side = isFirst ? -nr : nr
      const value = side * r + nh * h - lines[i + 2]
      if (value <= best) continue
      best = value
      gr = side
      gh = nh
    }
    for (let i = 0; i < this.#arcCount; i += 7) {
      const dr = r - arcs[i], dh = h - arcs[i + 1], distance = Math.sqrt(dr * dr + dh * dh)
      if (distance < 1e-12 || arcs[i + 3] * dh - arcs[i + 4] * dr < 0 || dr * arcs[i + 6] - dh * arcs[i + 5] < 0) continue
      const value = distance - arcs[i + 2], nr = dr / distance, nh = dh / distance
      if (value <= best || (nr === firstR && nh === firstH)) continue
      best = value
      gr = nr
      gh = nh
    }
    this.gr = gr
    this.gh = gh
    return best
  }

  /** f is convex along the axis, where its minimum lies by symmetry: a golden-section search, rounded to the safe side. */
  #inscribed(): number {
    const ratio = (Math.sqrt(5) - 1) / 2
    let low = this.outline.bottom, high = this.outline.top
    while (high - low > 1e-9) {
      const a = high - ratio * (high - low), b = low + ratio * (high - low)
      if (this.at(0, a) < this.at(0, b)) high = b
      else low = a
    }
    return -this.at(0, (low + high) / 2) + 1e-9
  }

  /** f at (r, h), r ≥ 0. */
  at(r: number, h: number): number {
    const lines = this.lines, arcs = this.arcs
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
      // Between the first and the last normal, counterclockwise: less than half a turn apart. A hair
      // outside is taken in: there the arc's distance exceeds the true one by a share of 1e-24 only,
      // while a point on the boundary that rounding shut out would be called deep inside.
      const slack = -1e-12 * (Math.abs(dr) + Math.abs(dh))
      if (arcs[i + 3] * dh - arcs[i + 4] * dr < slack || dr * arcs[i + 6] - dh * arcs[i + 5] < slack) continue
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
