import { MeshBVH } from 'three-mesh-bvh'
import { BufferAttribute, BufferGeometry, Vector3 } from 'three'
import { neverCancelled } from '../../shared/cancellation.ts'
import { ResultPool, type MeasuredSurface } from '../../server/edge/result-pool.ts'
import { openScene, readProgram, type PartMesh } from '../../server/engine/service.ts'
import { boreProgram, boreSheet } from './bore.ts'
import { ratesOf, secondsFor } from './measure.ts'
import type { Row } from './report.ts'

/** The peer is given one sample in so many. */
const peerShare = 20

/** What the program leaves of the bore's wall, at every vertex. The peer knows the distance to the ball's path alone, and proves nothing. */
export async function resultRows(blocks: number, mesh: PartMesh, runs: number, workerScript: string): Promise<Row[]> {
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet.replace('"limits":{', '"limits":{"leftover":0.05,') }, undefined)
  const program = readProgram({ path: 'bore.nc', text: boreProgram(blocks) }, scene), rows: Row[] = []
  for (const threads of [1, 2]) {
    const pool = new ResultPool(threads, { script: workerScript })
    try {
      const measure = async (): Promise<MeasuredSurface> => {
        const measured = await pool.measure(program, scene, mesh, { cancellation: neverCancelled })
        if (measured === undefined || measured.result.reached === 0) throw new Error('nothing was measured')
        return measured
      }
      const { samples: { points, count } } = await measure()
      const path = ballPath(program.text), place = new Vector3()
      const { ours, peer } = await ratesOf(runs, { units: 1, work: measure }, {
        units: 1 / peerShare,
        work: () => {
          for (let i = 0; i < count; i += peerShare) path.closestPointToPoint(place.fromArray(points, i * 3))
        },
      })
      const { median } = secondsFor(peer)
      rows.push({ name: `what is left of ${mesh.triangleCount} triangles after ${blocks} blocks, ${threads === 1 ? 'one thread' : 'two threads'}`, unit: 's', better: 'lower', ...secondsFor(ours), peer: { name: 'three-mesh-bvh: distance of each vertex to the ball\'s path', value: median } })
    } finally {
      await pool.dispose()
    }
  }
  return rows
}

/** The ball's way from block to block, as triangles without surface. */
function ballPath(text: string): MeshBVH {
  const places = [...text.matchAll(/^N\d+ X(\S+) Y(\S+) Z(\S+)/gm)].map(found => found.slice(1, 4).map(Number))
  const corners = Float32Array.from(places.flatMap((place, i) => [...places[Math.max(0, i - 1)], ...place, ...place]))
  return new MeshBVH(new BufferGeometry().setAttribute('position', new BufferAttribute(corners, 3)))
}
