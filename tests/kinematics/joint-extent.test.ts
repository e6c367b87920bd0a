import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { JointExtent } from '../../server/engine/geometry/joint-extent.ts'
import { travelTolerance } from '../../server/engine/geometry/tolerance.ts'
import { linear, machineOf, machines, rotary } from '../contact/machines.ts'
import { motionWishes, randomPath } from '../contact/random-path.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// The range each joint runs through against the joint values at many moments: never smaller, and
// larger by no more than the tolerance.

const length = 120, samples = 2000
const skew = machineOf({
  name: 'slanted Y, head B, table C', table: 'C', head: 'XYZB',
  axes: [linear('X', [1, 0, 0]), linear('Y', [0.5, Math.sqrt(3) / 2, 0]), linear('Z', [0, 0, 1]), rotary('B', [0, 1, 0], [0, 0, 100]), rotary('C', [0, 0, 1])],
})

describe.each([...Object.values(machines), skew].map((machine, i) => [machine.name, 900 + i, machine] as const))('%s, seed %i', (_name, seed, machine) => {
  test.each(motionWishes)('%s', wish => {
    for (let i = 0; i < 6; i++) {
      const random = new SeededRandom(seed * 1000 + i)
      const base = machine.axes.map(() => 0), kinematics = buildKinematics(machine, base)
      const path = randomPath(random, machine, kinematics, base, length, wish, 1)
      const extent = new JointExtent(kinematics, path, [length]), pose = new MotionPose(kinematics, path, [length])
      for (let motion = 0; motion < path.count; motion++) {
        extent.of(motion)
        pose.begin(motion)
        const joints = new Float64Array(machine.axes.length)
        const low = joints.map(() => Infinity), high = joints.map(() => -Infinity)
        for (let n = 0; n <= samples; n++) {
          pose.jointsAt(n / samples, joints)
          joints.forEach((value, j) => {
            low[j] = Math.min(low[j], value)
            high[j] = Math.max(high[j], value)
          })
        }
        machine.axes.forEach(({ letter }, j) => {
          const where = `case ${seed * 1000 + i}, motion ${motion}, ${letter}`
          expect(extent.low[j], where).toBeLessThanOrEqual(low[j] + 1e-9)
          expect(extent.high[j], where).toBeGreaterThanOrEqual(high[j] - 1e-9)
          // The samples themselves miss the true end by less than the second travelTolerance.
          expect(extent.low[j], where).toBeGreaterThanOrEqual(low[j] - 2 * travelTolerance)
          expect(extent.high[j], where).toBeLessThanOrEqual(high[j] + 2 * travelTolerance)
        })
      }
    }
  })
})
