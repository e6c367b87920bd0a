import type { PieceDistance } from '../geometry/piece-distance.ts'
import type { SweepCell } from './sweep-cell.ts'

/** mm. The boundary of a cut is found to this: what is taken away stands at most so far inside the model of the sweep. */
export const cutTolerance = 0.0005

/** mm. How well the least distance over the time of a cell is known. */
const timeTolerance = 0.0002

/** Steps after which a boundary that is only grazed counts as not reached: material stays. */
const mostSteps = 40

/**
 * One ray against one convex piece over the short time of a sweep cell.
 *
 * With s along the ray and t the time from the middle of the cell, points of the ray go by the tool with
 * the velocity w(s) = −(V + Ω × u(s)). While w is held as it is at one place, the signed distance f(s, t) of
 * the piece is convex, and so is φ(s) = min over t of f: two tangents in t, of which one falls and one
 * rises, give a line that φ never goes below. Away from that place the true φ goes lower by at most
 * |Ω| |t| |Δs|, so with that taken off the line, Newton's steps from outside never pass the boundary. What
 * they end in is attained, with w as it is there: what is found lies inside the sweep, and holds the
 * section of the piece shrunk by `cutTolerance`.
 */
export class SweptSection {
  /** Of the last boundary or minimum found: place along the ray, time, distance. */
  place = 0
  time = 0
  value = Infinity
  readonly #piece: PieceDistance
  // The ray as the piece sees it at time 0: its place 0 from the tool point, the axis, the velocity at place 0 and its change along the ray.
  #ux = 0; #uy = 0; #uz = 0
  #ax = 0; #ay = 0; #az = 1
  #wx = 0; #wy = 0; #wz = 0
  #qx = 0; #qy = 0; #qz = 0
  #axis = 0
  #half = 0
  #middle = 0
  #turns = 0
  // Products of the above with the velocity taken at the place in hand.
  #uu = 0
  #ud = 0
  #uw = 0
  #dw = 0
  #ww = 0
  #h0 = 0
  #dh = 0
  #wh = 0
  /** The place that is looked at, what it is enough to show that φ lies above there, and the rise that is then enough. */
  #seen = 0
  #enough = 0
  #driftInHand = 0
  #level = 0
  #shaved = 0
  /** Time of the last minimum: the next ray's is near. */
  #warm = 0
  // The last evaluation, and the last line below φ.
  #f = 0
  #fs = 0
  #ft = 0
  #bound = 0
  #slope = 0

  constructor(piece: PieceDistance) {
    this.#piece = piece
  }

  /** Takes a ray in hand: along `axis`, its place 0 where `place` says, part frame; in the time of the cell. */
  begin(cell: SweepCell, place: Float64Array, axis: number): void {
    const ux = place[0] - cell.px, uy = place[1] - cell.py, uz = place[2] - cell.pz
    this.#ux = ux; this.#uy = uy; this.#uz = uz
    this.#ax = cell.ax; this.#ay = cell.ay; this.#az = cell.az
    this.#wx = cell.wz * uy - cell.wy * uz - cell.vx
    this.#wy = cell.wx * uz - cell.wz * ux - cell.vy
    this.#wz = cell.wy * ux - cell.wx * uy - cell.vz
    // −Ω × d for the unit vector d along the ray.
    this.#qx = axis === 1 ? cell.wz : axis === 2 ? -cell.wy : 0
    this.#qy = axis === 2 ? cell.wx : axis === 0 ? -cell.wz : 0
    this.#qz = axis === 0 ? cell.wy : axis === 1 ? -cell.wx : 0
    this.#axis = axis
    this.#turns = cell.turn
    this.#uu = ux * ux + uy * uy + uz * uz
    this.#ud = axis === 0 ? ux : axis === 1 ? uy : uz
    this.#h0 = ux * cell.ax + uy * cell.ay + uz * cell.az
    this.#dh = axis === 0 ? cell.ax : axis === 1 ? cell.ay : cell.az
    this.setTime(0, cell.half)
    this.#refer(0)
  }

  /** Restricts the time to `half` on either side of `middle`, both counted from the middle of the cell. */
  setTime(middle: number, half: number): void {
    this.#middle = middle
    this.#half = half
  }

  /** Height on the tool and distance from its axis, of a place of the ray in hand at a time. */
  heightAt(s: number, t: number): number {
    return this.#h0 + s * this.#dh + t * this.#wh
  }

  radiusAt(s: number, t: number): number {
    const h = this.heightAt(s, t)
    const square = this.#uu + 2 * s * this.#ud + 2 * t * this.#uw + s * s + 2 * s * t * this.#dw + t * t * this.#ww - h * h
    return square > 0 ? Math.sqrt(square) : 0
  }

  /** How far a place lies from the tool point along a vector at a time. */
  along(s: number, t: number, x: number, y: number, z: number): number {
    return (this.#ux + t * this.#wx) * x + (this.#uy + t * this.#wy) * y + (this.#uz + t * this.#wz) * z + s * (this.#axis === 0 ? x : this.#axis === 1 ? y : z)
  }

  /**
   * The gradient of f at the place where the last search for a boundary has ended, part frame, no longer than 1, and how
   * far the piece reaches along it from the tool point, with the sign turned, mm: four numbers from `at` on.
   */
  support(out: Float64Array, at: number): void {
    const s = this.#seen, t = this.time, piece = this.#piece, h = this.heightAt(s, t), r = this.radiusAt(s, t)
    const f = piece.at(r, h), gr = r > 1e-12 ? piece.gr / r : 0, gh = piece.gh - gr * h
    out[at] = gr * (this.#ux + t * (this.#wx + s * this.#qx) + (this.#axis === 0 ? s : 0)) + gh * this.#ax
    out[at + 1] = gr * (this.#uy + t * (this.#wy + s * this.#qy) + (this.#axis === 1 ? s : 0)) + gh * this.#ay
    out[at + 2] = gr * (this.#uz + t * (this.#wz + s * this.#qz) + (this.#axis === 2 ? s : 0)) + gh * this.#az
    out[at + 3] = f - gr * r * r - piece.gh * h
  }

  /** How far the way between two attained places can stray from what is even, mm: |Ω| Δt Δs / 4. */
  stray(place: number, time: number): number {
    return this.#turns * Math.abs(this.time - time) * Math.abs(this.place - place) / 4
  }

  /** What counts as cut from now on: what comes to `level`; where material ends, what comes below that by more than `shaving`. mm. */
  setLevel(level: number, shaving: number): void {
    this.#level = level
    this.#shaved = level - shaving
    this.#warm = 0
  }

  /**
   * The first place at which the piece comes to the level at some time, from end `start` of the stretch (0: the lower, 1:
   * the upper) toward the other; false where there is none. Place, time and distance stand in the fields.
   */
  boundary(stretch: Float64Array, start: 0 | 1): boolean {
    const way = start === 0 ? 1 : -1, to = stretch[1 - start], level = this.#level, goal = level - cutTolerance, drift = this.#drift()
    let s = stretch[start], limit = this.#shaved
    this.#driftInHand = drift
    for (let step = 0; step < mostSteps; step++) {
      if (this.#turns !== 0) this.#refer(s)
      this.#seen = s
      this.#enough = Math.min(limit, goal)
      this.#leastOverTime(way)
      if (this.value <= limit) {
        this.place = s
        return true
      }
      limit = level
      const fall = drift - this.#slope * way
      if (fall <= 1e-9) return false
      s += way * Math.max((this.#bound - goal) / fall, 1e-6)
      if ((to - s) * way < 0) return false
    }
    return false
  }

  /**
   * The least distance over the places in [from, to] and the time, begun at `start`: to `width`, or until it
   * is proven not to be below `cap`. Answers what it is not below; what is attained stands in the fields.
   */
  least(from: number, to: number, start: number, cap: number, width: number): number {
    let s = Math.min(to, Math.max(from, start)), lowest = -Infinity
    let best = Infinity, bestPlace = s, bestTime = 0
    let left = NaN, leftBound = 0, leftSlope = 0, right = NaN, rightBound = 0, rightSlope = 0
    // The velocity is held as it is at the start: what it may differ along the ray is taken off.
    if (this.#turns !== 0) this.#refer(s)
    const drift = this.#drift() * Math.max(s - from, to - s)
    this.#enough = Infinity
    this.#driftInHand = 0
    for (let step = 0; step < mostSteps; step++) {
      this.#seen = s
      this.#leastOverTime(1)
      if (this.value < best) {
        best = this.value
        bestPlace = s
        bestTime = this.time
      }
      if (this.#slope < 0) {
        left = s; leftBound = this.#bound; leftSlope = this.#slope
      } else {
        right = s; rightBound = this.#bound; rightSlope = this.#slope
      }
      // The line by itself, at the end to which it falls.
      lowest = Math.max(lowest, this.#bound + this.#slope * ((this.#slope < 0 ? to : from) - s))
      if (lowest - drift >= cap || best - lowest <= width) break
      if (Number.isNaN(left)) s = from
      else if (Number.isNaN(right)) s = to
      else {
        s = (leftBound - rightBound + rightSlope * right - leftSlope * left) / (rightSlope - leftSlope)
        s = Math.min(right, Math.max(left, s))
        lowest = Math.max(lowest, leftBound + leftSlope * (s - left))
        if (lowest - drift >= cap || best - lowest <= width) break
      }
    }
    this.value = best
    this.place = bestPlace
    this.time = bestTime
    return Math.min(lowest, best) - drift
  }

  /** How far a point goes astray at most by taking the velocity of another place, for each mm between them: |Ω| times the longest time from the middle of the cell. */
  #drift(): number {
    return this.#turns * (Math.abs(this.#middle) + this.#half)
  }

  /** Takes the velocity as it is at a place. */
  #refer(s: number): void {
    const wx = this.#wx + s * this.#qx, wy = this.#wy + s * this.#qy, wz = this.#wz + s * this.#qz
    this.#uw = this.#ux * wx + this.#uy * wy + this.#uz * wz
    this.#dw = this.#axis === 0 ? wx : this.#axis === 1 ? wy : wz
    this.#ww = wx * wx + wy * wy + wz * wz
    this.#wh = wx * this.#ax + wy * this.#ay + wz * this.#az
  }

  /**
   * The least f over the time at a place: what is attained in `value` and `time`, and a line below φ. It is
   * enough to show that φ lies above the level and rises on the way by more than `#driftInHand`.
   */
  #leastOverTime(way: number): void {
    const s = this.#seen
    const low = this.#middle - this.#half, high = this.#middle + this.#half
    let t = Math.min(high, Math.max(low, this.#warm))
    this.#at(s, t)
    this.value = this.#f
    this.time = t
    const first = this.#ft, end = first > 0 ? low : high
    this.#bound = this.#f - Math.abs(first * (end - t))
    this.#slope = this.#fs
    if (this.value - this.#bound <= timeTolerance || (this.#bound > this.#enough && this.#slope * way >= this.#driftInHand)) return
    let leftT = t, leftF = this.#f, leftFt = first, leftFs = this.#fs
    this.#at(s, end)
    this.#take(end)
    if (this.#ft === 0 || this.#ft > 0 === first > 0) {
      // Still falling at the end of the time: the least is there.
      this.#bound = this.#f
      this.#slope = this.#fs
      this.#warm = end
      return
    }
    let rightT = end, rightF = this.#f, rightFt = this.#ft, rightFs = this.#fs
    if (first > 0) {
      rightT = leftT; rightF = leftF; rightFt = leftFt; rightFs = leftFs
      leftT = end; leftF = this.#f; leftFt = this.#ft; leftFs = this.#fs
    }
    for (let round = 0; ; round++) {
      t = (leftF - rightF + rightFt * rightT - leftFt * leftT) / (rightFt - leftFt)
      this.#bound = leftF + leftFt * (t - leftT)
      if (this.value - this.#bound <= timeTolerance || round === 16) break
      this.#at(s, t)
      this.#take(t)
      if (this.#ft < 0) {
        leftT = t; leftF = this.#f; leftFt = this.#ft; leftFs = this.#fs
      } else {
        rightT = t; rightF = this.#f; rightFt = this.#ft; rightFs = this.#fs
        if (rightFt === 0) break
      }
    }
    // The mixture of both tangents that does not depend on the time.
    const share = rightFt / (rightFt - leftFt)
    this.#slope = share * leftFs + (1 - share) * rightFs
    this.#warm = this.time
  }

  #take(t: number): void {
    if (this.#f >= this.value) return
    this.value = this.#f
    this.time = t
  }

  #at(s: number, t: number): void {
    const piece = this.#piece
    const h = this.#h0 + s * this.#dh + t * this.#wh
    const square = this.#uu + 2 * s * this.#ud + 2 * t * this.#uw + s * s + 2 * s * t * this.#dw + t * t * this.#ww - h * h
    const r = square > 0 ? Math.sqrt(square) : 0
    this.#f = piece.at(r, h)
    const gr = r > 1e-12 ? piece.gr / r : 0
    this.#fs = gr * (this.#ud + s + t * this.#dw - h * this.#dh) + piece.gh * this.#dh
    this.#ft = gr * (this.#uw + s * this.#dw + t * this.#ww - h * this.#wh) + piece.gh * this.#wh
  }
}
