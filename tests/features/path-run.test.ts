import { describe, expect, it } from 'vitest'
import { pathRun } from '../../server/engine/features/path-run.ts'
import { builtInMachine } from '../../server/engine/setup/built-in-machine.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import { PathFlag } from '../../shared/protocol/scene-messages.ts'
import { MotionFlag, MotionKind, ToolpathBuilder } from '../../shared/toolpath.ts'

const letters = builtInMachine.axes.map(axis => axis.letter)
const zero = letters.map(() => 0)
const kinematics = buildKinematics(builtInMachine, zero)
const joints = (values: Record<string, number>) => letters.map(letter => values[letter] ?? 0)

describe('the path for the eye', () => {
  it('needs one segment for a straight motion, with line and kind', () => {
    const builder = new ToolpathBuilder(letters, zero)
    builder.push(MotionKind.joints, MotionFlag.rapid, 3, 0, 1, joints({ X: 10 }))
    builder.push(MotionKind.joints, 0, 4, 0, 1, joints({ X: 10, Y: 5 }))
    const { positions, lines, flags } = pathRun(builder.finish(), kinematics, [100])
    expect([...lines]).toEqual([3, 3, 4])
    expect([...flags]).toEqual([PathFlag.rapid | PathFlag.start, PathFlag.rapid, 0])
    expect([...positions]).toEqual([0, 0, -100, 10, 0, -100, 10, 5, -100])
  })

  it('names the motion of each segment, and tells rapids that do not run straight from those that do', () => {
    const builder = new ToolpathBuilder(letters, zero)
    builder.push(MotionKind.joints, MotionFlag.rapid, 3, 0, 1, joints({ X: 10 }))
    // Two legs of one block: X arrives before Y.
    builder.push(MotionKind.joints, MotionFlag.rapid, 4, 0, 1, joints({ X: 20, Y: 5 }))
    builder.push(MotionKind.joints, MotionFlag.rapid, 4, 0, 1, joints({ X: 20, Y: 9 }))
    // The part turns under the tool: its point runs a curve over it.
    builder.push(MotionKind.joints, MotionFlag.rapid, 5, 0, 1, joints({ X: 20, Y: 9, C: 0.01 }))
    builder.push(MotionKind.joints, 0, 5, 0, 1, joints({ X: 21, Y: 9, C: 0.01 }))
    const { flags, motions } = pathRun(builder.finish(), kinematics, [0])
    const bent = PathFlag.rapid | PathFlag.dogLeg
    expect([...flags]).toEqual([PathFlag.rapid | PathFlag.start, PathFlag.rapid, bent, bent, bent, 0])
    expect([...motions]).toEqual([0, 0, 1, 2, 3, 4])
  })

  it('runs round when a table axis turns: every vertex keeps its distance from the axis', () => {
    const builder = new ToolpathBuilder(letters, joints({ X: 30 }))
    builder.push(MotionKind.joints, 0, 0, 0, 1, joints({ X: 30, C: Math.PI / 2 }))
    const { positions, lines } = pathRun(builder.finish(), kinematics, [0])
    expect(lines.length).toBeGreaterThanOrEqual(19)
    for (let i = 0; i < lines.length; i++) expect(Math.hypot(positions[i * 3], positions[i * 3 + 1])).toBeCloseTo(30, 4)
    expect(Math.abs(positions[(lines.length - 1) * 3 + 1])).toBeCloseTo(30, 4)
  })

  it('starts anew where the tool point jumps with a tool change, and leaves out what is not known', () => {
    const builder = new ToolpathBuilder(letters, joints({ X: NaN }))
    builder.push(MotionKind.joints, MotionFlag.unknownStart, 0, 0, 1, joints({ X: 1 }))
    builder.push(MotionKind.joints, 0, 1, 0, 1, joints({ X: 2 }))
    builder.push(MotionKind.joints, 0, 2, 1, 1, joints({ X: 3 }))
    const { lines, flags, positions } = pathRun(builder.finish(), kinematics, [10, 20])
    expect([...lines]).toEqual([1, 1, 2, 2])
    expect([...flags]).toEqual([PathFlag.start, 0, PathFlag.start, 0])
    expect(positions[2]).toBe(-10)
    expect(positions[8]).toBe(-20)
  })

  it('is empty for a program that moves nothing', () => {
    expect(pathRun(new ToolpathBuilder(letters, zero).finish(), kinematics, []).lines.length).toBe(0)
  })
})
