import type { Machine } from '../../../../shared/machine.ts'
import { gaugeLength } from '../../../../shared/tool-length.ts'
import { MotionKind, type Toolpath } from '../../../../shared/toolpath.ts'
import { carriesLinear, JointExtent } from '../../geometry/joint-extent.ts'
import { travelTolerance } from '../../geometry/tolerance.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { extentOf, runInWords } from '../motion-runs.ts'
import { rotaryTravel } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

/** radians and mm: a motion that turns less bends a joint's way by turn² × reach / 8 + turn × way / 4, at most 15 mm for a reach of 10 m and a way of 1 m. */
const SMALL_TURN = 0.05
const BEND = 50
/** mm and radians; joint values come out of float64 chains. */
const ROUNDING = 1e-9

export const travelLimit = defineRule({
  id: 'travel-limit',
  level: 'error',
  group: 'motion',
  docs: {
    what: 'An axis leaves its travel somewhere along a motion, also on the way between two points that are inside.',
    why: 'The machine stops in the middle of the cut, or refuses to start; with tool-centre control the linear axes go to places that are written nowhere in the program.',
    instead: 'Set the part up elsewhere on the table, use another rotary position, or correct the range in the machine file.',
  },
  bad: [
    {
      title: 'X300. is the end of the built-in machine',
      setup: sheet(),
      program: `
N10 G21 G90 G54 G0 X290. Y0.
N20 G0 X310.
       ^^^^^ error travel-limit: 310 mm
`,
    },
    {
      title: 'the wrong side of the tilting axis',
      setup: sheet(),
      program: `
N10 G21 G90 G54 G0 A0. C0.
N20 G0 A40.
       ^^^^ error travel-limit: 40°
`,
    },
  ],
  good: [{
    title: 'up to the end',
    setup: sheet(),
    program: `
N10 G21 G90 G54 G0 X300. Y0. A30.
`,
  }],
  start: (report, context) => {
    const { machine, kinematics, text, setup } = context
    const faults = new MotionFaults()
    const sides = machine.axes.flatMap((axis, joint) => axis.range === undefined ? [] : [
      { axis, joint, sign: -1, end: axis.range[0], of: 2 * joint },
      { axis, joint, sign: 1, end: axis.range[1], of: 2 * joint + 1 },
    ])
    return {
      faults,
      motions(toolpath, first, last) {
        const extent = new JointExtent(kinematics, toolpath, setup?.tools.map(gaugeLength) ?? [])
        const width = toolpath.axes.length
        for (let i = first; i < last; i++) {
          const isCurved = mayLeaveBetween(toolpath, i, machine, kinematics.rotary)
          if (isCurved) extent.of(i)
          for (const { axis, joint, sign, end, of } of sides) {
            const known = toolpath.joints[(i + 1) * width + joint] ?? NaN
            const value = !isCurved ? known : (sign < 0 ? extent.low : extent.high)[joint] ?? NaN
            const beyond = sign * (value - end)
            // The extent is certified to be too large by no more than its tolerance; rotary joints move evenly.
            if (beyond > (isCurved && axis.kind === 'linear' ? travelTolerance : ROUNDING)) faults.add(i, beyond, of)
          }
        }
      },
      end(toolpath, lineStarts) {
        if (toolpath.count > 0 && carriesLinear(kinematics)) {
          report({
            rule: 'not-checked',
            span: { start: 0, end: 0 },
            message: 'A rotary axis of this machine carries a linear one: between the ends of its blocks travel is sampled, not proven.',
          })
        }
        const words = new LineWords(text, machine, lineStarts)
        for (const { axis: { letter, kind }, sign, end, of } of sides) {
          const written = (value: number) => kind === 'rotary' ? `${trimmed(value * 180 / Math.PI)}°` : `${trimmed(value)} mm`
          for (const run of faults.runs(toolpath, of)) {
            report({
              rule: 'travel-limit', motion: run.worstMotion, extent: extentOf(run, toolpath), span: words.wordSpan(toolpath.line[run.worstMotion] ?? 0, letter),
              message: `${letter} would run to ${written(end + sign * run.figure)} in machine coordinates; its travel ends at ${written(end)}, `
                + `${written(run.figure)} before${runInWords(run, toolpath, line => words.name(line))}.`,
            })
          }
        }
      },
    }
  },
})

/**
 * Whether some linear joint may leave its range between the ends of a motion that keep to it: it runs on a curve,
 * and an end lies too near to the range's.
 */
function mayLeaveBetween(toolpath: Toolpath, motion: number, machine: Machine, rotary: readonly number[]): boolean {
  const { kind, arcOf, joints, axes } = toolpath
  if (kind[motion] === MotionKind.joints) return false
  const turn = rotaryTravel(toolpath, motion, rotary)
  if ((arcOf[motion] ?? -1) >= 0 || turn > SMALL_TURN) return true
  return turn > 0 && machine.axes.some(({ kind: axisKind, range }, joint) => axisKind === 'linear' && range !== undefined
    && [motion, motion + 1].some(row => {
      const value = joints[row * axes.length + joint] ?? NaN
      return value - range[0] < BEND || range[1] - value < BEND
    }))
}

/** Three decimals at most. */
function trimmed(value: number): string {
  return String(Number(value.toFixed(3)) + 0)
}

function sheet(): string {
  return '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }'
}
