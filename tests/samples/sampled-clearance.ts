import { BufferAttribute, BufferGeometry, Vector3 } from 'three'
import type { HitPointInfo } from 'three-mesh-bvh'
import { MeshBVH } from 'three-mesh-bvh'

// A slow, sampled reading of how the tool stands to a mesh at one pose, written apart from the
// engine and from the generator: corners of the triangles against the outline of each component.

export type Vector = readonly [number, number, number]

/** A frustum about the tool axis: heights are above the ball's centre, mm. */
interface Frustum { readonly from: number, readonly to: number, readonly lower: number, readonly upper: number }

export interface Figures { readonly ball: number, readonly cutter: number, readonly neck: number, readonly shank: number, readonly holder: number }

const components = {
  cutter: [{ from: 0, to: 4, lower: 2, upper: 2 }],
  neck: [{ from: 4, to: 22, lower: 1.85, upper: 1.85 }],
  // The cone opens by 15 degrees on each side from the neck to the shank.
  shank: [{ from: 22, to: 22 + 1.15 / Math.tan(Math.PI / 12), lower: 1.85, upper: 3 }, { from: 22 + 1.15 / Math.tan(Math.PI / 12), to: 36, lower: 3, upper: 3 }],
  holder: [{ from: 36, to: 66, lower: 6, upper: 10 }, { from: 66, to: 86, lower: 25, upper: 25 }],
} as const satisfies Record<string, readonly Frustum[]>

export interface SampledMesh {
  /** How deep the ball stands below the surface, mm. */
  readonly depth: (centre: Vector) => number
  /** The same with each component's gap (negative: penetration), mm. */
  readonly figures: (centre: Vector, axis: Vector) => Figures
}

/** Reads the duct's tool against a mesh. Gaps are looked for up to `cap`, mm. */
export function sampleMesh(corners: Float32Array, cap: number): SampledMesh {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(corners, 3))
  const tree = new MeshBVH(geometry, { targetLeafSize: 8 })
  const hit: HitPointInfo = { point: new Vector3(), distance: 0, faceIndex: 0 }
  const gap = (frusta: readonly Frustum[], centre: Vector, axis: Vector): number => {
    let best = cap
    for (const frustum of frusta) {
      const value = (x: number, y: number, z: number) => distanceToFrustum(frustum, centre, axis, x, y, z)
      tree.shapecast({
        intersectsBounds: box => {
          const half = Math.hypot(box.max.x - box.min.x, box.max.y - box.min.y, box.max.z - box.min.z) / 2
          return value((box.min.x + box.max.x) / 2, (box.min.y + box.max.y) / 2, (box.min.z + box.max.z) / 2) - half < best
        },
        intersectsTriangle: triangle => {
          for (const corner of [triangle.a, triangle.b, triangle.c]) best = Math.min(best, value(corner.x, corner.y, corner.z))
          return false
        },
      })
    }
    return best
  }
  const depth = (centre: Vector): number => {
    tree.closestPointToPoint(new Vector3(...centre), hit)
    return 2 - hit.distance
  }
  return {
    depth,
    figures: (centre, axis) => ({
      ball: depth(centre),
      cutter: gap(components.cutter, centre, axis),
      neck: gap(components.neck, centre, axis),
      shank: gap(components.shank, centre, axis),
      holder: gap(components.holder, centre, axis),
    }),
  }
}

/** Signed distance of a point to a frustum, by its outline in the half plane through the axis. */
function distanceToFrustum(frustum: Frustum, centre: Vector, axis: Vector, x: number, y: number, z: number): number {
  const rx = x - centre[0], ry = y - centre[1], rz = z - centre[2]
  const height = rx * axis[0] + ry * axis[1] + rz * axis[2]
  const radius = Math.sqrt(Math.max(0, rx * rx + ry * ry + rz * rz - height * height))
  const { from, to, lower, upper } = frustum
  const outline: readonly (readonly [number, number])[] = [[0, from], [lower, from], [upper, to], [0, to]]
  let nearest = Infinity, outside = -Infinity
  for (let i = 0; i < 3; i++) {
    const [ar, ah] = outline[i], [br, bh] = outline[i + 1]
    const dr = br - ar, dh = bh - ah, length = Math.hypot(dr, dh)
    outside = Math.max(outside, ((radius - ar) * dh - (height - ah) * dr) / length)
    const t = Math.min(1, Math.max(0, ((radius - ar) * dr + (height - ah) * dh) / (length * length)))
    nearest = Math.min(nearest, Math.hypot(radius - ar - t * dr, height - ah - t * dh))
  }
  return outside > 0 ? nearest : outside
}
