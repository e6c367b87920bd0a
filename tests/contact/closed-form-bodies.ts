import type { Triple } from '../../shared/setup.ts'
import { cylinderWall, sphere } from '../mesh/bodies.ts'

// Smooth bodies as meshes, with the largest distance between facet and surface: the corners lie on
// the surface, so a facet lies to one side of it, at most that far.

export interface MeshOfBody {
  readonly corners: Float64Array
  /** mm. No point of a facet is farther than this from the surface. */
  readonly chord: number
}

/** The plane z = 0 as squares about the origin. */
export function planeMesh(size: number, cells: number): MeshOfBody {
  const numbers: number[] = []
  const at = (i: number) => (2 * i / cells - 1) * size
  for (let i = 0; i < cells; i++) {
    for (let j = 0; j < cells; j++) {
      const [x0, x1, y0, y1] = [at(i), at(i + 1), at(j), at(j + 1)]
      numbers.push(x0, y0, 0, x1, y0, 0, x1, y1, 0, x0, y0, 0, x1, y1, 0, x0, y1, 0)
    }
  }
  return { corners: Float64Array.from(numbers), chord: 0 }
}

/** A sphere about the origin: facets dip below it by R − √(R² − ρ²), ρ the radius of the largest circle about three corners. */
export function sphereMesh(radius: number, times: number): MeshOfBody {
  const corners = sphere(radius, times)
  let chord = 0
  for (let i = 0; i < corners.length; i += 9) chord = Math.max(chord, radius - Math.sqrt(radius ** 2 - circumradius(corners, i) ** 2))
  return { corners, chord }
}

/** The wall of a cylinder about z through the origin: facets dip below it by R (1 − cos(π/n)). */
export function cylinderMesh(radius: number, height: number, around: number): MeshOfBody {
  const corners = cylinderWall(radius, height, around, 12)
  for (let i = 2; i < corners.length; i += 3) corners[i] -= height / 2
  return { corners, chord: radius * (1 - Math.cos(Math.PI / around)) }
}

/**
 * A torus about z: facets stray from it by r (1 − cos(π/m)) across the tube and, outward or inward of
 * the ring, by (R + r)(1 − cos(π/n)) along it; to either side, since the ring's inner half is a saddle.
 */
export function torusMesh(ring: number, tube: number, along: number, across: number): MeshOfBody {
  const corner = (i: number, j: number): Triple => {
    const u = 2 * Math.PI * (i % along) / along, v = 2 * Math.PI * (j % across) / across
    return [(ring + tube * Math.cos(v)) * Math.cos(u), (ring + tube * Math.cos(v)) * Math.sin(u), tube * Math.sin(v)]
  }
  const numbers: number[] = []
  for (let i = 0; i < along; i++) {
    for (let j = 0; j < across; j++) {
      const [a, b, c, d] = [corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)]
      numbers.push(...a, ...b, ...c, ...a, ...c, ...d)
    }
  }
  return { corners: Float64Array.from(numbers), chord: tube * (1 - Math.cos(Math.PI / across)) + (ring + tube) * (1 - Math.cos(Math.PI / along)) }
}

/** Radius of the circle through the corners of the triangle: abc / 4 area. */
function circumradius(c: Float64Array, i: number): number {
  const side = (m: number, n: number) => Math.hypot(c[i + m] - c[i + n], c[i + m + 1] - c[i + n + 1], c[i + m + 2] - c[i + n + 2])
  const [a, b, d] = [side(0, 3), side(3, 6), side(6, 0)], s = (a + b + d) / 2
  return a * b * d / (4 * Math.sqrt(s * (s - a) * (s - b) * (s - d)))
}
