import { BufferAttribute, BufferGeometry, Vector3 } from 'three'
import { MeshBVH, SAH } from 'three-mesh-bvh'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Assembly } from '../../server/engine/contact/assembly.ts'
import type { SearchInput } from '../../server/engine/contact/search-motions.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'

// What one would do without a certificate: a pose every tenth of a millimetre, and at each pose the
// nearest place of the mesh by three-mesh-bvh's own traversal. Only corners and the place nearest to
// the axis are looked at on a triangle, which favours this peer; between the poses it sees nothing.

const step = 0.1
/** mm, by component: the same reach as the certified search has. */
const reach = [0.5, 0.5, 2, 5]

export class ShapecastPeer {
  readonly bvh: MeshBVH
  readonly #pose: MotionPose
  readonly #pieces: readonly (readonly PieceDistance[])[]
  /** The sum of what was found, so that nothing is optimised away. */
  sink = 0

  constructor(corners: Float64Array, input: SearchInput, assembly: Assembly) {
    this.bvh = buildBvh(corners)
    this.#pose = new MotionPose(input.kinematics, input.toolpath, [assembly.gaugeLength])
    this.#pieces = assembly.shapes.map(shape => shape.pieces.map(piece => new PieceDistance(piece)))
  }

  run(first: number, count: number): void {
    for (let motion = first; motion < first + count; motion++) {
      this.#pose.begin(motion)
      const poses = Math.max(1, Math.ceil(this.#pose.speed / step - 0.1))
      for (let i = 1; i <= poses; i++) {
        this.#pose.at(i / poses)
        this.#pieces.forEach((pieces, c) => {
          let best = reach[c]
          for (const piece of pieces) best = this.#nearest(piece, best)
          this.sink += best
        })
      }
    }
  }

  #nearest(piece: PieceDistance, cap: number): number {
    const { px, py, pz, ax, ay, az } = this.#pose
    let best = cap
    const distance = (x: number, y: number, z: number) => {
      const ux = x - px, uy = y - py, uz = z - pz, h = ux * ax + uy * ay + uz * az
      return piece.at(Math.sqrt(Math.max(0, ux * ux + uy * uy + uz * uz - h * h)), h)
    }
    const foot = new Vector3(), place = new Vector3()
    this.bvh.shapecast({
      // The nearer child first, by the least the distance can be in its box.
      boundsTraverseOrder: ({ min, max }) => {
        const half = Math.sqrt((max.x - min.x) ** 2 + (max.y - min.y) ** 2 + (max.z - min.z) ** 2) / 2
        return distance((min.x + max.x) / 2, (min.y + max.y) / 2, (min.z + max.z) / 2) - half
      },
      intersectsBounds: (_box, _isLeaf, score) => (score ?? -Infinity) < best,
      intersectsTriangle: triangle => {
        const { a, b, c } = triangle
        best = Math.min(best, distance(a.x, a.y, a.z), distance(b.x, b.y, b.z), distance(c.x, c.y, c.z))
        const h = (a.x - px) * ax + (a.y - py) * ay + (a.z - pz) * az
        triangle.closestPointToPoint(foot.set(px + h * ax, py + h * ay, pz + h * az), place)
        best = Math.min(best, distance(place.x, place.y, place.z))
        return false
      },
    })
    return best
  }
}

export function buildBvh(corners: Float64Array): MeshBVH {
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(Float32Array.from(corners), 3))
  return new MeshBVH(geometry, { strategy: SAH, targetLeafSize: 10 })
}
