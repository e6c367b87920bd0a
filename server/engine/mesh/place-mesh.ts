import type { MeshPlacement } from '../../../shared/setup.ts'
import type { Affine } from './affine.ts'

/**
 * Corners of a mesh file in the frame its placement speaks of, mm: scaled, turned about the fixed
 * X, then Y, then Z axis, then moved. `corners`: 9 numbers a triangle, in file units; left as they are.
 */
export function placeMesh(corners: Float64Array, placement: Pick<MeshPlacement, 'scale' | 'rotate' | 'translate'>): Float64Array {
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = turnScale(placement)
  const [tx, ty, tz] = placement.translate
  // Adding 0 turns -0 into 0, so that equal corners stay equal in every bit.
  const placed = new Float64Array(corners.length)
  for (let i = 0; i + 2 < corners.length; i += 3) {
    const x = corners[i], y = corners[i + 1], z = corners[i + 2]
    placed[i] = m0 * x + m1 * y + m2 * z + tx + 0
    placed[i + 1] = m3 * x + m4 * y + m5 * z + ty + 0
    placed[i + 2] = m6 * x + m7 * y + m8 * z + tz + 0
  }
  return placed
}

/** The same turn and move as a placing of points in mm. */
export function turnAndMove({ rotate, translate }: Pick<MeshPlacement, 'rotate' | 'translate'>): Affine {
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = turnScale({ scale: 1, rotate })
  return [m0, m1, m2, translate[0], m3, m4, m5, translate[1], m6, m7, m8, translate[2]]
}

/** Rz · Ry · Rx times the scale, row by row. */
function turnScale({ scale, rotate }: Pick<MeshPlacement, 'scale' | 'rotate'>): number[] {
  const [sx, sy, sz] = rotate.map(sine), [cx, cy, cz] = rotate.map(angle => sine(angle + Math.PI / 2))
  return [
    cz * cy, cz * sy * sx - sz * cx, cz * sy * cx + sz * sx,
    sz * cy, sz * sy * sx + cz * cx, sz * sy * cx - cz * sx,
    -sy, cy * sx, cy * cx,
  ].map(entry => entry * scale)
}

/** A part turned by 90 degrees stays square: the sine of a multiple of a right angle is taken as exact. */
function sine(angle: number): number {
  const quarters = Math.round(angle / (Math.PI / 2))
  if (Math.abs(angle - quarters * (Math.PI / 2)) > 1e-14 * Math.max(1, Math.abs(quarters))) return Math.sin(angle)
  return quarters % 2 === 0 ? 0 : quarters % 4 === 1 || quarters % 4 === -3 ? 1 : -1
}
