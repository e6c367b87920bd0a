/** The points x of space with normal · x ≥ bound; the normal need not have length one. */
export interface HalfSpace {
  readonly normal: readonly [number, number, number]
  readonly bound: number
}

type Vector = [number, number, number]

/** Half-spaces kept in hand at once: three decide the answer, a few more have decided before. */
const mostInHand = 12

/** How far a half-space may be missed by rounding, in units of its bound's own. */
const slack = 1e-10

/**
 * The point nearest to nought that lies in all half-spaces; undefined where they have none in common.
 * In space at most three of them hold the nearest point (Nocedal and Wright, Numerical Optimization,
 * 2006, section 16.4): the most violated one is taken in hand until none is, and the answer for those
 * in hand is the shortest of the points that one, two or three of them decide and all of them allow.
 */
export function leastNorm(all: readonly HalfSpace[]): Vector | undefined {
  const inHand: HalfSpace[] = []
  let x: Vector = [0, 0, 0]
  for (let round = 0; round <= all.length; round++) {
    const worst = mostViolated(all, x)
    if (worst === undefined) return x
    if (inHand.includes(worst) || inHand.length === mostInHand) return undefined
    inHand.push(worst)
    const next = shortest(inHand)
    if (next === undefined) return undefined
    x = next
  }
  return mostViolated(all, x) === undefined ? x : undefined
}

function mostViolated(all: readonly HalfSpace[], x: Vector): HalfSpace | undefined {
  let worst: HalfSpace | undefined, most = 0
  for (const each of all) {
    const lack = each.bound - dot(each.normal, x)
    if (lack <= slackOf(each) || lack <= most) continue
    most = lack
    worst = each
  }
  return worst
}

function slackOf({ bound }: HalfSpace): number {
  return slack * (1 + Math.abs(bound))
}

/** The shortest point decided by up to three of these that all of them allow. */
function shortest(of: readonly HalfSpace[]): Vector | undefined {
  let best: Vector | undefined, length = Infinity
  const take = (x: Vector | undefined) => {
    if (x === undefined) return
    const norm = Math.hypot(...x)
    if (norm >= length || mostViolated(of, x) !== undefined) return
    length = norm
    best = x
  }
  for (let i = 0; i < of.length; i++) {
    take(onPlanes([of[i]]))
    for (let j = 0; j < i; j++) {
      take(onPlanes([of[i], of[j]]))
      for (let k = 0; k < j; k++) take(onPlanes([of[i], of[j], of[k]]))
    }
  }
  return best
}

/** The point nearest to nought on all the planes normal · x = bound: x = Nᵀ (N Nᵀ)⁻¹ b; undefined where they do not meet in general. */
function onPlanes(planes: readonly HalfSpace[]): Vector | undefined {
  const n = planes.length
  const rows = planes.map((a, i) => [...planes.map(b => dot(a.normal, b.normal)), planes[i].bound])
  for (let column = 0; column < n; column++) {
    let pivot = column
    for (let row = column + 1; row < n; row++) if (Math.abs(rows[row][column]) > Math.abs(rows[pivot][column])) pivot = row
    const lead = rows[pivot]
    rows[pivot] = rows[column]
    rows[column] = lead
    if (!(Math.abs(lead[column]) > 1e-12 * dot(planes[column].normal, planes[column].normal))) return undefined
    for (let row = 0; row < n; row++) {
      if (row === column) continue
      const factor = rows[row][column] / lead[column]
      for (let at = column; at <= n; at++) rows[row][at] -= factor * lead[at]
    }
  }
  const x: Vector = [0, 0, 0]
  for (let i = 0; i < n; i++) {
    const weight = rows[i][n] / rows[i][i]
    for (let k = 0; k < 3; k++) x[k] += weight * planes[i].normal[k]
  }
  return x
}

function dot(a: readonly [number, number, number], b: readonly [number, number, number]): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
