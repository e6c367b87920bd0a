import type { Cancellation } from '../../../shared/cancellation.ts'
import type { GridFrame } from './grid-frame.ts'
import type { RayFamily } from './ray-family.ts'

/** Where the rays of one family pass the facets of a mesh: place along the ray and the sense in which it is passed. */
export interface RayCrossings {
  /** First entry of each ray in `places` and `senses`; one more entry than rays. Ray i + j × nu. */
  readonly first: Uint32Array
  /** mm from the grid's origin, in any order. */
  readonly places: Float32Array
  /** 1 where the ray enters, -1 where it leaves. */
  readonly senses: Int8Array
}

/**
 * Passes all rays of a family through triangles, 9 numbers each. A ray through an edge or a corner passes
 * exactly one of the facets that meet there (of a closed mesh): the sides of an edge are told by the same
 * sum in both of its facets, and what lies on it belongs to one side. None once cancelled.
 */
export function rayCrossings(family: RayFamily, { origin, pitch }: GridFrame, corners: Float64Array, cancellation: Cancellation): RayCrossings {
  const { axis, u, v, nu, nv } = family
  const counts = new Uint32Array(nu * nv + 1)
  eachCrossing((ray) => { counts[ray + 1]++ })
  if (cancellation.cancelled()) counts.fill(0)
  for (let ray = 0; ray < nu * nv; ray++) counts[ray + 1] += counts[ray]
  const total = counts[nu * nv], next = counts.slice()
  const places = new Float32Array(total), senses = new Int8Array(total)
  // Broken off here, some places stay empty: nobody looks at what was filled so far.
  eachCrossing((ray, place, sense) => {
    const at = next[ray]++
    places[at] = place
    senses[at] = sense
  })
  return { first: counts, places, senses }

  function eachCrossing(take: (ray: number, place: number, sense: number) => void): void {
    for (let at = 0; at < corners.length && !cancellation.cancelled(); at += 9) {
      const au = corners[at + u], av = corners[at + v], bu = corners[at + 3 + u], bv = corners[at + 3 + v], cu = corners[at + 6 + u], cv = corners[at + 6 + v]
      const area = (bu - au) * (cv - av) - (bv - av) * (cu - au)
      if (area === 0) continue
      const i0 = Math.max(0, Math.ceil((Math.min(au, bu, cu) - origin[u]) / pitch[u] - 0.5)), i1 = Math.min(nu - 1, Math.floor((Math.max(au, bu, cu) - origin[u]) / pitch[u] - 0.5))
      const j0 = Math.max(0, Math.ceil((Math.min(av, bv, cv) - origin[v]) / pitch[v] - 0.5)), j1 = Math.min(nv - 1, Math.floor((Math.max(av, bv, cv) - origin[v]) / pitch[v] - 0.5))
      // Seen along the ray a facet that turns counter-clockwise faces along it: the ray leaves there.
      const sense = area > 0 ? -1 : 1
      for (let j = j0; j <= j1; j++) {
        const pv = origin[v] + (j + 0.5) * pitch[v]
        for (let i = i0; i <= i1; i++) {
          const pu = origin[u] + (i + 0.5) * pitch[u]
          const ab = isLeftOf(pu, pv, au, av, bu, bv), bc = isLeftOf(pu, pv, bu, bv, cu, cv), ca = isLeftOf(pu, pv, cu, cv, au, av)
          if (ab !== bc || bc !== ca) continue
          const wb = ((pu - au) * (cv - av) - (pv - av) * (cu - au)) / area, wc = ((bu - au) * (pv - av) - (bv - av) * (pu - au)) / area
          const place = corners[at + axis] + wb * (corners[at + 3 + axis] - corners[at + axis]) + wc * (corners[at + 6 + axis] - corners[at + axis])
          take(i + j * nu, place - origin[axis], sense)
        }
      }
    }
  }
}

/** Whether a point lies to the left of the way from a to b; on it, to the left of just one of its two senses. */
function isLeftOf(pu: number, pv: number, au: number, av: number, bu: number, bv: number): boolean {
  const isForward = au < bu || (au === bu && av < bv)
  const side = isForward ? (bu - au) * (pv - av) - (bv - av) * (pu - au) : (au - bu) * (pv - bv) - (av - bv) * (pu - bu)
  return side >= 0 === isForward
}

/** The stretches of one ray inside the mesh, rising pairs: where more has been entered than left. What does not close ends at the last crossing. */
export function insideStretches({ first, places, senses }: RayCrossings, ray: number): number[] {
  const entries = Array.from({ length: first[ray + 1] - first[ray] }, (_, k) => first[ray] + k)
    .sort((a, b) => places[a] - places[b] || senses[b] - senses[a])
  const pairs: number[] = []
  let depth = 0
  entries.forEach((entry, n) => {
    const before = depth
    depth += senses[entry]
    if (before <= 0 && depth > 0) pairs.push(places[entry])
    else if (before > 0 && (depth <= 0 || n === entries.length - 1)) pairs.push(places[entry])
  })
  return pairs.length % 2 === 0 ? pairs : pairs.slice(0, -1)
}
