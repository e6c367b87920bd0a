import type { MotionPose } from '../../../../shared/motion-pose.ts'
import { degrees } from '../figures.ts'
import { LimitTrack } from '../limit-track.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { extentOf, runInWords } from '../motion-runs.ts'
import { angleBetween, isFeedMotion, poseOf, rotaryTravel } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

/** The axis' way is added up over pieces in which no rotary joint turns further than this. */
const PIECE = Math.PI / 90

export const rotarySwing = defineRule({
  id: 'rotary-swing',
  level: 'warning',
  group: 'motion',
  docs: {
    what: 'The tool axis turns further in one cutting block than the sheet\'s `axisStep` allows.',
    why: 'Between two neighbouring finishing blocks the axis should hardly turn. A large swing marks the part, sweeps shank and holder through places nobody looked at, and usually comes from a wrong rotary word.',
    instead: 'Correct the rotary word, split the block, or turn with the tool clear of the part.',
  },
  bad: [{
    title: 'A12. was meant, A42. was typed',
    setup: tiltingSetup(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z50. A10. C0.
N30 G1 X1. A11. F500
N40 X2. A42.
        ^^^^ warning rotary-swing: 31°
N50 X3. A42.5
`,
  }],
  good: [{
    title: 'small turns in the cut, a great one in the rapid',
    setup: tiltingSetup(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z50. A10. C0.
N30 G1 X1. A11. F500
N40 G0 Z80. A42.
N50 G1 Z79.
`,
  }],
  start: (report, context) => {
    const { setup, machine, kinematics, text } = context
    if (setup === undefined) return {}
    const limits = new LimitTrack(setup, limit => limit.axisStep)
    const faults = new MotionFaults()
    return {
      ...limits.visitor, faults,
      motions(toolpath, first, end) {
        const pose = poseOf(context, toolpath)
        for (let i = first; i < end; i++) {
          if (!isFeedMotion(toolpath, i)) continue
          const allowed = limits.at(i, toolpath) ?? Infinity
          const most = rotaryTravel(toolpath, i, kinematics.rotary)
          if (!(most > allowed)) continue
          const swing = axisTurn(pose, i, Math.ceil(most / PIECE))
          if (swing > allowed * (1 + 1e-9)) faults.add(i, swing)
        }
      },
      end(toolpath, lineStarts) {
        const words = new LineWords(text, machine, lineStarts)
        const letters = kinematics.rotary.map(joint => toolpath.axes[joint]).join('')
        for (const run of faults.runs(toolpath)) {
          const allowed = limits.at(run.worstMotion, toolpath) ?? 0
          report({
            rule: 'rotary-swing', motion: run.worstMotion, extent: extentOf(run, toolpath), span: words.wordsSpan(toolpath.line[run.worstMotion] ?? 0, letters),
            message: `The tool axis turns ${degrees(run.figure)} in this cutting block; ${degrees(allowed)} is allowed`
              + `${runInWords(run, toolpath, line => words.name(line))}.`,
          })
        }
      },
    }
  },
})

/** The way of the tool axis on the unit sphere over the whole motion, radians. */
function axisTurn(pose: MotionPose, motion: number, pieces: number): number {
  pose.begin(motion)
  pose.at(0)
  let { ax, ay, az } = pose
  let sum = 0
  const count = Math.min(Math.max(pieces, 1), 4000)
  for (let n = 1; n <= count; n++) {
    pose.at(n / count)
    sum += angleBetween(ax, ay, az, pose.ax, pose.ay, pose.az)
    ax = pose.ax
    ay = pose.ay
    az = pose.az
  }
  return sum
}

function tiltingSetup(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "limits": { "axisStep": 5 },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
