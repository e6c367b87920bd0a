import { describe, expect, test } from 'vitest'
import { buildKinematics, jointsForToolPoint, newToolPose, toolPose } from '../../shared/kinematics.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { families, jointsOf, loadFamily, type Family } from './families.ts'
import { twinPose } from './homogeneous.ts'

// Each machine file of samples/machines: read without a word, forward against the matrices of
// homogeneous.ts and against numbers worked by hand, tool-centre control as self-consistency.

test.each(families)('%s is read without a problem', name => {
  expect(loadFamily(name).problems).toEqual([])
})

describe('forward', () => {
  test.each(families)('%s: the same pose as by 4 × 4 matrices, seed 81', name => {
    const { machine } = loadFamily(name), random = new SeededRandom(81), pose = newToolPose()
    const any = () => Float64Array.from(machine.axes, axis => axis.kind === 'rotary' ? random.between(-7, 7) : random.between(-400, 400))
    for (let n = 0; n < 500; n++) {
      const base = any(), joints = any(), length = random.between(0, 250)
      toolPose(buildKinematics(machine, base), joints, length, pose)
      const twin = twinPose(machine, base, joints, length)
      for (let i = 0; i < 3; i++) {
        expect(pose.point[i]).toBeCloseTo(twin.point[i], 9)
        expect(pose.axis[i]).toBeCloseTo(twin.axis[i], 12)
      }
    }
  })

  // By hand: sin and cos of 53.130102 are 0.8 and 0.6, those of 36.869898 the other way round. Program
  // zero at joints nought, tool length 100. Tables turn against the letter, so that seen from the part the
  // tool turns by the letter's own sense: about the line of A or B first, then by C about Z.
  const a = Math.atan2(0.8, 0.6) / Math.PI * 180, c = Math.atan2(0.6, 0.8) / Math.PI * 180
  const cases: readonly [Family, Record<string, number>, point: number[], axis: number[]][] = [
    // Tip at (0, 0, -100), 370 above the axis of A: turned back by A about (0, 0, -470) to (0, 370·(-0.8), 370·0.6 - 470), then by C.
    ['table-table-ac', { A: a, C: c }, [0.6 * 296, 0.8 * -296, 222 - 470], [0.6 * 0.8, -0.8 * 0.8, 0.6]],
    // Tip at (-35, 0, 440) from the axis of B, which turns it by B about Y: (-35·0.6 + 440·0.8, 0, 35·0.8 + 440·0.6) = (331, 0, 292).
    ['table-table-bc', { B: a, C: c }, [0.8 * (331 + 35), 0.6 * (331 + 35), 292 - 540], [0.64, 0.48, 0.6]],
    // Pivot at 185, tip 285 below it along the tilted axis: (-285·0.8, 0, 185 - 285·0.6), then by C.
    ['head-b-table-c', { B: a, C: c }, [0.8 * -228, 0.6 * -228, 14], [0.64, 0.48, 0.6]],
    ['fork-head-ca', { C: c, A: a }, [-310 * 0.48, 310 * 0.64, 210 - 310 * 0.6], [0.48, -0.64, 0.6]],
    // Pivot 12 beside the axis of C: the tip from the pivot is (-12, 0, -295), by B (-12·0.6 - 295·0.8, 0, 12·0.8 - 295·0.6).
    ['fork-head-cb', { C: c, B: a }, [0.8 * (12 - 243.2), 0.6 * (12 - 243.2), 195 + 9.6 - 177], [0.64, 0.48, 0.6]],
    // A half turn of B about (0, 1, 1) swaps Y and Z and turns X over: the axis lies along +Y, the tip 260 from the pivot.
    ['nutating-head', { B: 180 }, [0, -260, 160], [0, 1, 0]],
    // The same about (0, -1, -1) for the table: the tip, 330 above the crossing, comes to lie 330 along Y in the part.
    ['nutating-table', { B: 180 }, [0, 330, -430], [0, 1, 0]],
  ]
  test.each(cases)('%s %o by hand', (name, values, point, axis) => {
    const { machine } = loadFamily(name), pose = newToolPose()
    toolPose(buildKinematics(machine, new Float64Array(5)), jointsOf(machine, values), 100, pose)
    // The part frame's origin lies at the gauge point of the zero position.
    point.forEach((value, i) => expect(pose.point[i]).toBeCloseTo(value, 9))
    axis.forEach((value, i) => expect(pose.axis[i]).toBeCloseTo(value, 9))
  })
})

describe('tool-centre control', () => {
  test.each(families)('%s: the tool point stays put while the rotary axes turn, seed 82', name => {
    const { machine } = loadFamily(name), random = new SeededRandom(82)
    const base = jointsOf(machine, { X: 12, Y: -34, Z: -120 }), kinematics = buildKinematics(machine, base)
    for (let n = 0; n < 300; n++) {
      const point = [random.between(-80, 80), random.between(-80, 80), random.between(-80, 80)], length = random.between(40, 200)
      const joints = Float64Array.from(machine.axes, axis => axis.kind === 'rotary' ? random.between(-4, 4) : random.between(-100, 100))
      expect(jointsForToolPoint(kinematics, joints, length, point[0], point[1], point[2])).toBe(true)
      twinPose(machine, base, joints, length).point.forEach((value, i) => expect(value).toBeCloseTo(point[i], 9))
    }
  })
})
