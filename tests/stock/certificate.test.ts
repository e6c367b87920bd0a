import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import { Engagement } from '../../server/engine/stock/engagement.ts'
import { boxStock } from '../../server/engine/stock/fill-shape.ts'
import { MotionCutter } from '../../server/engine/stock/motion-cutter.ts'
import { distanceAt } from '../harness/brute-force.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { TwinMachine } from '../harness/twin-machine.ts'
import { twinSolids } from '../harness/twin-solid.ts'
import { anyMachine } from '../contact/machines.ts'
import { motionWishes, randomPath } from '../contact/random-path.ts'
import { randomTool, shapes } from '../contact/random-tool.ts'
import { placeOnRay, stretchesOf } from './grid-points.ts'

// What a motion takes from the rays against dense moments of a twin that shares no code with the engine:
// every place that went was swept, every place that was swept, but for a skin, went.

const cases = Number(process.env.CERTIFICATE_TESTS ?? 24), seed = Number(process.env.CERTIFICATE_SEED ?? 4711)
const moments = 400

describe(`the swept cut of every cutter, machine and kind of motion, seed ${seed}`, () => {
  for (let number = 0; number < cases; number++) {
    test(`case ${number}`, () => {
      const random = new SeededRandom(seed + number * 7919)
      const machine = anyMachine(random), tool = randomTool(random, shapes[number % shapes.length])
      const base = machine.axes.map(axis => axis.kind === 'linear' ? random.between(-100, 100) : random.pick([0, random.between(-1, 1)]))
      const kinematics = buildKinematics(machine, base), length = gaugeLength(tool)
      const path = randomPath(random, machine, kinematics, base, length, random.pick(motionWishes), 1)
      const twin = new TwinMachine(machine, base), solids = twinSolids(tool).cutter
      const poses = Array.from({ length: moments + 1 }, (_, i) => twin.poseAt(path, 0, length, i / moments))
      // A cube about some place of the cutter at some moment.
      const { point, axis } = random.pick(poses), height = random.between(solids[0].bottom, solids[0].top), size = tool.cutter.DC * 0.8
      const middle = point.map((value, k) => value + height * axis[k])
      const grid = boxStock({ min: [middle[0] - size, middle[1] - size, middle[2] - size], max: [middle[0] + size, middle[1] + size, middle[2] + size] }, size / 5)
      const assembly = buildAssembly(tool), pose = new MotionPose(kinematics, path, [length])
      const cutter = new MotionCutter(grid, assembly.shapes[0], neverCancelled), engagement = new Engagement()
      pose.begin(0)
      engagement.begin(pose.speed, size / 5)
      cutter.cut(pose, engagement)
      // Between two moments nothing goes farther than this.
      const between = (pose.speed + pose.turn * (tool.cutter.DC + Math.abs(solids[0].top) + Math.abs(solids[0].bottom))) / moments / 2
      let gone = 0
      for (const family of grid.families) {
        for (let j = 0; j < family.nv; j++) {
          for (let i = 0; i < family.nu; i++) {
            const stretches = stretchesOf(grid, family, i, j)
            const ends = stretches.flatMap(end => [end - 0.02, end + 0.02])
            for (const along of [...Array.from({ length: 8 }, () => middle[family.axis] + random.between(-size, size)), ...ends]) {
              if (Math.abs(along - middle[family.axis]) >= size) continue
              const [x, y, z] = placeOnRay(grid, family, i, j, along)
              const isThere = stretches.some((end, k) => k % 2 === 0 && along >= end && along <= stretches[k + 1])
              let least = Infinity
              for (const at of poses) least = Math.min(least, distanceAt(solids, at, x, y, z))
              if (isThere) expect(least, `stands although ${-least} mm deep in the sweep`).toBeGreaterThan(-cutter.shortfall - 1e-6)
              else {
                gone++
                expect(least, `went although ${least} mm beside the sweep`).toBeLessThan(between + 1e-6)
              }
            }
          }
        }
      }
      expect(gone).toBeGreaterThan(0)
    })
  }
})
