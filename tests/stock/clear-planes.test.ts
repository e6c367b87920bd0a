import { describe, expect, test } from 'vitest'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Triple } from '../../shared/setup.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'
import { ClearPlanes } from '../../server/engine/stock/clear-planes.ts'
import { SweepCell } from '../../server/engine/stock/sweep-cell.ts'
import { SweptSection } from '../../server/engine/stock/swept-section.ts'
import { distanceAt } from '../harness/brute-force.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { twinSolids } from '../harness/twin-solid.ts'
import { randomCutter } from '../contact/random-tool.ts'
import { toolOf } from '../contact/scene.ts'
import { forkKinematics, pathThrough } from './cut-poses.ts'

// What the planes of a cell call clear, against a twin of the tool by which the places go as the cell says. The
// motions lean and turn far more within one cell than a cut ever would: what turning costs is then no trifle.

const seed = 20261126
const moments = Array.from({ length: 33 }, (_, i) => i / 16 - 1)

describe(`planes that keep the sweep behind them, seed ${seed}`, () => {
  for (const [number, shape] of (['flat', 'ball', 'bull', 'taper', 'drill'] as const).entries()) {
    test(shape, () => {
      const random = new SeededRandom(seed + number), tool = toolOf(randomCutter(random, shape)), solids = twinSolids(tool).cutter, { DC } = tool.cutter
      const axes = [0, 1].map((): Triple => {
        const [x, y, z] = random.direction(), size = Math.hypot(x, y, z + 2)
        return [x / size, y / size, (z + 2) / size]
      })
      const path = pathThrough(tool, axes.map(axis => ({ point: [random.between(-DC, DC), random.between(-DC, DC), random.between(-DC, DC)], axis })))
      const assembly = buildAssembly(tool), pose = new MotionPose(forkKinematics, path, [assembly.gaugeLength])
      const piece = new PieceDistance(assembly.shapes[0].pieces[0]), cell = new SweepCell(piece, 0), section = new SweptSection(piece), planes = new ClearPlanes()
      pose.begin(0)
      cell.set(pose, 0, 1)
      const level = -0.01 * DC
      section.setLevel(level, 0)
      planes.begin(cell, level)
      const lowest = (axis: number, place: Float64Array, low: number, high: number) => {
        let least = Infinity
        for (let k = 0; k <= 16; k++) {
          const at = Float64Array.from(place)
          at[axis] += low + (high - low) * k / 16
          const [x, y, z] = at, [ux, uy, uz] = [x - cell.px, y - cell.py, z - cell.pz]
          const w = [cell.vx + cell.wy * uz - cell.wz * uy, cell.vy + cell.wz * ux - cell.wx * uz, cell.vz + cell.wx * uy - cell.wy * ux]
          for (const moment of moments) {
            const t = moment * cell.half
            least = Math.min(least, distanceAt(solids, { point: [cell.px, cell.py, cell.pz], axis: [cell.ax, cell.ay, cell.az] }, x - t * w[0], y - t * w[1], z - t * w[2]))
          }
        }
        return least
      }
      let clear = 0, borders = 0, trimmed = 0
      for (let n = 0; n < 240; n++) {
        const axis = n % 3, u = (axis + 1) % 3, v = (axis + 2) % 3, place = Float64Array.from([0, 1, 2], k => random.between(cell.low[k], cell.high[k]))
        place[axis] = (cell.low[axis] + cell.high[axis]) / 2
        const reach = (cell.high[axis] - cell.low[axis]) / 2, low = random.between(-reach, 0), high = random.between(0, reach)
        const isClear = (from: number, to: number) => {
          planes.stretch.set([from, to])
          return planes.clears(place, axis)
        }
        if (isClear(low, high)) {
          clear++
          expect(lowest(axis, place, low, high)).toBeGreaterThan(level - 1e-9)
        } else {
          section.begin(cell, place, axis)
          if (!section.boundary(planes.stretch, 0)) planes.add(section)
        }
        // The last place from the end of the ray on that is clear.
        if (isClear(-reach, -reach) && !isClear(reach, reach)) {
          let at = -reach, beyond = reach
          for (let k = 0; k < 40; k++) {
            const middle = (at + beyond) / 2
            if (isClear(middle, middle)) at = middle
            else beyond = middle
          }
          borders++
          expect(lowest(axis, place, at, at)).toBeGreaterThan(level - 1e-9)
        }
        // A row of 21 rays across the box.
        const pitch = (cell.high[u] - cell.low[u]) / 20
        planes.stretch.set([low, high])
        planes.setRows(cell.low[u], pitch)
        planes.row.set([0, 21])
        const isLeft = planes.trims(place, u, v, axis), [first, behind] = planes.row
        for (let i = 0; i < 21; i++) {
          if (isLeft && i >= first && i < behind) continue
          trimmed++
          place[u] = cell.low[u] + i * pitch
          if (i === first - 1 || i === behind || (!isLeft && i === n % 21)) expect(lowest(axis, place, low, high)).toBeGreaterThan(level - 1e-9)
        }
      }
      expect(clear).toBeGreaterThan(4)
      expect(borders).toBeGreaterThan(5)
      expect(trimmed).toBeGreaterThan(50)
    })
  }
})
