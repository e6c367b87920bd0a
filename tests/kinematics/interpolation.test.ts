import { describe, expect, test } from 'vitest'
import { buildKinematics, jointsForToolPoint } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Machine } from '../../shared/machine.ts'
import { MotionKind, ToolpathBuilder } from '../../shared/toolpath.ts'
import type { Triple } from '../../shared/setup.ts'
import { linear, machineOf, rotary } from '../contact/machines.ts'

// What happens between the ends of a block when rotary and linear axes each move evenly and nothing
// holds the tool point on its line: it strays by R (1 - cos(turn / 2)), elementary geometry.

const degree = Math.PI / 180
const xyz = [linear('X', [1, 0, 0]), linear('Y', [0, 1, 0]), linear('Z', [0, 0, 1])]
const table = machineOf({ name: 'table A, C on it', axes: [...xyz, rotary('A', [1, 0, 0]), rotary('C', [0, 0, 1])], table: 'AC', head: 'XYZ' })

/** One motion between two points of the work and two pairs of rotary angles; the tool point is the gauge point. */
function moveOf(machine: Machine, kind: number, from: Triple, fromAngles: readonly [number, number], to: Triple, toAngles: readonly [number, number]): { joints: Float64Array, at: (t: number) => number[] } {
  const k = buildKinematics(machine, [0, 0, 0, 0, 0])
  const rowAt = (point: Triple, angles: readonly [number, number]) => {
    const joints = Float64Array.of(0, 0, 0, angles[0] * degree, angles[1] * degree)
    jointsForToolPoint(k, joints, 0, ...point)
    return joints
  }
  const builder = new ToolpathBuilder('XYZAC'.split(''), rowAt(from, fromAngles))
  const end = rowAt(to, toAngles)
  builder.push(kind, 0, 0, 0, 1, end)
  const pose = new MotionPose(k, builder.finish(), [0])
  pose.begin(0)
  return {
    joints: end,
    at: t => {
      pose.at(t)
      return [pose.px, pose.py, pose.pz]
    },
  }
}

describe('without tool-centre control', () => {
  test.each([[100, 10, 0.38053], [100, 1, 0.003808], [50, 30, 1.70371]])('a table turns under a point %f mm out by %f degrees: it strays %f mm', (radius, turn, stray) => {
    const point: Triple = [radius, 0, 0]
    const move = moveOf(table, MotionKind.joints, point, [0, 0], point, [0, turn])
    expect(move.at(0)).toEqual([radius, 0, 0].map(value => expect.closeTo(value, 9)))
    expect(move.at(1)).toEqual([radius, 0, 0].map(value => expect.closeTo(value, 9)))
    const [x, y, z] = move.at(0.5)
    expect(Math.hypot(x - radius, y, z)).toBeCloseTo(stray, 5)
  })

  test('a head turns by 5 degrees, its pivot 200 mm up: the tool point strays 0.190356 mm', () => {
    const head = machineOf({ name: 'fork head', axes: [...xyz, rotary('A', [1, 0, 0], [0, 0, 200]), rotary('C', [0, 0, 1], [0, 0, 200])], table: '', head: 'XYZCA' })
    const [x, y, z] = moveOf(head, MotionKind.joints, [0, 0, 0], [0, 0], [0, 0, 0], [5, 0]).at(0.5)
    expect(Math.hypot(x, y, z)).toBeCloseTo(0.190356, 6)
  })

  test('at 100 mm a turn of 1.62058 degrees strays by a hundredth', () => {
    const point: Triple = [100, 0, 0]
    const [x, y, z] = moveOf(table, MotionKind.joints, point, [0, 0], point, [0, 1.62058]).at(0.5)
    expect(Math.hypot(x - 100, y, z)).toBeCloseTo(0.01, 6)
  })

  test('the work line (100, 0) to (100, 20) while C turns to 30: 5.9956 mm off at mid-block', () => {
    const move = moveOf(table, MotionKind.joints, [100, 0, 0], [0, 0], [100, 20, 0], [0, 30])
    expect([...move.joints.subarray(0, 3)]).toEqual([76.6025, 67.3205, 0].map(value => expect.closeTo(value, 4)))
    const [x, y] = move.at(0.5)
    expect(x).toBeCloseTo(94.0044, 4)
    expect(y).toBeCloseTo(9.6593, 4)
    expect(100 - x).toBeCloseTo(5.9956, 4)
  })
})

describe('with tool-centre control', () => {
  test('the same work line is kept to', () => {
    const move = moveOf(table, MotionKind.toolLine, [100, 0, 0], [0, 0], [100, 20, 0], [0, 30])
    for (const t of [0, 0.25, 0.5, 0.9, 1]) expect(move.at(t)).toEqual([100, 20 * t, 0].map(value => expect.closeTo(value, 9)))
  })
})

describe('the cone frustum as a kinematic test', () => {
  // A cone of half apex angle `cone` tilted by `tilt`, the tool along its side once round (NAS 979, 1969; Kato et al., 2012).
  test.each([
    { cone: 15, tilt: 10, low: 5, high: 25, span: 360, net: 360, peak: 2.970 },
    { cone: 45, tilt: 30, low: 15, high: 75, span: 360, net: 360, peak: 2.732 },
    { cone: 10, tilt: 15, low: 5, high: 25, span: 84.277, net: 0, peak: 1.992 },
  ])('cone $cone, tilt $tilt: A $low to $high, C over $span, net $net', ({ cone, tilt, low, high, span, net, peak }) => {
    const k = buildKinematics(table, [0, 0, 0, 0, 0])
    const steps = 720, rows: Float64Array[] = []
    let c = 0
    for (let i = 0; i <= steps; i++) {
      const [u, v, w] = alongCone(cone * degree, tilt * degree, 2 * Math.PI * i / steps)
      // The branch with A above nought; C follows without jumps.
      const next = Math.atan2(u, v)
      c = i === 0 ? next : c + Math.atan2(Math.sin(next - c), Math.cos(next - c))
      rows.push(Float64Array.of(0, 0, 0, Math.acos(w), c))
    }
    const builder = new ToolpathBuilder('XYZAC'.split(''), rows[0])
    for (const row of rows.slice(1)) builder.push(MotionKind.toolLine, 0, 0, 0, 1, row)
    const path = builder.finish(), pose = new MotionPose(k, path, [0])
    let steepest = 0
    for (let i = 0; i < path.count; i++) {
      pose.begin(i)
      pose.at(0)
      expect([pose.ax, pose.ay, pose.az]).toEqual(alongCone(cone * degree, tilt * degree, 2 * Math.PI * i / steps).map(value => expect.closeTo(value, 9)))
      steepest = Math.max(steepest, Math.abs(rows[i + 1][4] - rows[i][4]) / (2 * Math.PI / steps))
    }
    const column = (j: number) => rows.map(row => row[j] / degree)
    const [a, turned] = [column(3), column(4)]
    expect(Math.min(...a)).toBeCloseTo(low, 6)
    expect(Math.max(...a)).toBeCloseTo(high, 6)
    expect(Math.max(...turned) - Math.min(...turned)).toBeCloseTo(span, 2)
    expect(Math.abs(turned[steps] - turned[0])).toBeCloseTo(net, 6)
    expect(steepest).toBeCloseTo(peak, 2)
  })
})

/** Direction of the cone's side at angle φ: the cone's axis leans by `tilt` toward +y. */
function alongCone(cone: number, tilt: number, phi: number): Triple {
  const [x, y, z] = [Math.sin(cone) * Math.cos(phi), Math.sin(cone) * Math.sin(phi), Math.cos(cone)]
  return [x, y * Math.cos(tilt) + z * Math.sin(tilt), z * Math.cos(tilt) - y * Math.sin(tilt)]
}
