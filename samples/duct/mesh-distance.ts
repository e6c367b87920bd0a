import { BufferAttribute, BufferGeometry, Vector3 } from 'three'
import type { HitPointInfo } from 'three-mesh-bvh'
import { MeshBVH } from 'three-mesh-bvh'

// The one file of the samples that knows the tree. It is not the engine's own search, so that
// program and check do not share a mistake.

/** How far a point of space lies from the nearest point of the mesh, mm, whichever side it is on. */
export type MeshDistance = (x: number, y: number, z: number) => number

export function measureMesh(corners: Float32Array): MeshDistance {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(corners, 3))
  const tree = new MeshBVH(geometry, { strategy: 0, targetLeafSize: 8 })
  const point = new Vector3()
  const hit: HitPointInfo = { point: new Vector3(), distance: 0, faceIndex: 0 }
  return (x, y, z) => {
    tree.closestPointToPoint(point.set(x, y, z), hit)
    return hit.distance
  }
}
