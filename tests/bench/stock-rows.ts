import { boxStock } from '../../server/engine/stock/fill-shape.ts'
import { toolOf } from '../contact/scene.ts'
import { cutPath, pathThrough, type CutPose } from '../stock/cut-poses.ts'
import { ratesOf } from './measure.ts'
import type { Row } from './report.ts'

// The stock's rays: a cube of 100 mm whose top a 4 mm ball finishes in blocks of 0.3 mm, leaning and turning.

const rowLength = 300, step = 0.3

function finishing(blocks: number): CutPose[] {
  return Array.from({ length: blocks + 1 }, (_, n): CutPose => {
    const row = Math.floor(n / rowLength), i = n % rowLength, x = (row % 2 === 0 ? i : rowLength - i) * step - 45, y = row * step - 40
    const lean = 0.3 + 0.1 * Math.sin(x / 8), turn = x / 20
    return { point: [x, y, -0.6 - 0.3 * Math.sin(x / 5) * Math.cos(y / 7)], axis: [Math.sin(lean) * Math.cos(turn), Math.sin(lean) * Math.sin(turn), Math.cos(lean)] }
  })
}

/** The peer: heights over one plane, cut by an upright ball at places 0.1 mm apart. It knows one direction and proves nothing. */
function cutHeights(poses: readonly CutPose[], pitch: number): Float32Array {
  const count = Math.ceil(100 / pitch), heights = new Float32Array(count * count), radius = 2
  for (let n = 1; n < poses.length; n++) {
    const from = poses[n - 1].point, to = poses[n].point, parts = Math.ceil(Math.hypot(to[0] - from[0], to[1] - from[1], to[2] - from[2]) / 0.1)
    for (let part = 1; part <= parts; part++) {
      const [x, y, z] = [0, 1, 2].map(k => from[k] + (to[k] - from[k]) * part / parts)
      const i0 = Math.ceil((x - radius + 50) / pitch), i1 = Math.floor((x + radius + 50) / pitch), j0 = Math.ceil((y - radius + 50) / pitch), j1 = Math.floor((y + radius + 50) / pitch)
      for (let j = Math.max(0, j0); j <= Math.min(count - 1, j1); j++) {
        for (let i = Math.max(0, i0); i <= Math.min(count - 1, i1); i++) {
          const square = radius * radius - (i * pitch - 50 - x) ** 2 - (j * pitch - 50 - y) ** 2
          if (square > 0) heights[i + j * count] = Math.min(heights[i + j * count], z + radius - Math.sqrt(square))
        }
      }
    }
  }
  return heights
}

/** Blocks a second at two pitches, and what the rays take. */
export async function stockRows(blocks: number, runs: number): Promise<Row[]> {
  const poses = finishing(blocks), tool = toolOf({ shape: 'ball', DC: 4, LCF: 6 }), path = pathThrough(tool, poses), rows: Row[] = []
  for (const pitch of [0.2, 0.1]) {
    const fresh = () => boxStock({ min: [-50.03, -50.07, -100], max: [50, 50, 0] }, pitch)
    let grid = fresh()
    const start = grid.snapshot()
    const work = () => {
      grid.restore(start)
      const { volumes } = cutPath(grid, tool, path)
      if (volumes.every(volume => volume === 0)) throw new Error('nothing was cut')
    }
    const { ours, peer } = await ratesOf(runs, { units: blocks, work }, { units: blocks, work: () => cutHeights(poses, pitch) })
    rows.push({ name: `stock on three families of rays, ${pitch} mm apart`, unit: 'blocks/s', better: 'higher', ...ours, peer: { name: 'heights over one plane, sampled every 0.1 mm', value: peer.median } })
    const bytes = grid.bytes() / 1e6
    grid = fresh()
    rows.push({ name: `memory of the stock, ${pitch} mm apart`, unit: 'bytes/mm³', better: 'lower', median: bytes, low: bytes, high: bytes, peer: { name: 'heights over one plane', value: 4 / pitch ** 2 / 100 } })
  }
  return rows
}
