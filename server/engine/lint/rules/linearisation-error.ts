import type { MotionPose } from '../../../../shared/motion-pose.ts'
import { MotionKind, type Toolpath } from '../../../../shared/toolpath.ts'
import { millimetres } from '../figures.ts'
import { LimitTrack } from '../limit-track.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { extentOf, runInWords } from '../motion-runs.ts'
import { isFeedMotion, jointTravel, poseOf, rotaryTravel } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

export const linearisationError = defineRule({
  id: 'linearisation-error',
  level: 'error',
  group: 'motion',
  docs: {
    what: 'A G1 block moves linear and rotary axes together without tool-centre control, and the tool point leaves the straight line between its ends by more than the allowed gouge.',
    why: 'Every axis moves evenly, so the tool point runs a curve on the part; over a long block it cuts beside the line that was meant.',
    instead: 'Switch tool-centre control on, or split the block into shorter ones.',
  },
  bad: [{
    title: 'twenty degrees in one block',
    setup: tiltingSetup(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z50. A0. C0.
N30 G1 X10. A20. F500
       ^^^^^^^^^ error linearisation-error: 0.01 mm
`,
  }],
  good: [
    {
      title: 'with tool-centre control the tool point runs straight',
      setup: tiltingSetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z50. A0. C0.
N30 G1 X10. A20. F500
`,
    },
    {
      title: 'steps so short that the curve does not matter',
      setup: tiltingSetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z50. A0. C0.
N30 G1 X.1 A.2 F500
N40 X.2 A.4
`,
    },
  ],
  start: (report, context) => {
    const { setup, machine, kinematics, text } = context
    if (setup === undefined) return {}
    const limits = new LimitTrack(setup, limit => limit.gouge)
    const faults = new MotionFaults()
    return {
      ...limits.visitor, faults,
      motions(toolpath, first, end) {
        const pose = poseOf(context, toolpath)
        for (let i = first; i < end; i++) {
          if (toolpath.kind[i] !== MotionKind.joints || !isFeedMotion(toolpath, i)) continue
          // A block of rotary words alone turns the part on purpose.
          if (!(rotaryTravel(toolpath, i, kinematics.rotary) > 0) || !movesLinearJoint(toolpath, i, kinematics.linear)) continue
          const allowed = limits.at(i, toolpath) ?? Infinity
          pose.begin(i)
          // A curve leaves its chord by at most an eighth of its greatest acceleration.
          if (pose.acceleration / 8 <= allowed) continue
          const error = greatestDeviation(pose)
          if (error > allowed) faults.add(i, error)
        }
      },
      end(toolpath, lineStarts) {
        const words = new LineWords(text, machine, lineStarts)
        for (const run of faults.runs(toolpath)) {
          const allowed = limits.at(run.worstMotion, toolpath) ?? 0
          report({
            rule: 'linearisation-error', motion: run.worstMotion, extent: extentOf(run, toolpath), span: words.wordsSpan(toolpath.line[run.worstMotion] ?? 0, 'XYZABCUVW'),
            message: `Without tool-centre control the tool point leaves the straight line of this block by ${millimetres(run.figure)}; ${millimetres(allowed)} is allowed`
              + `${runInWords(run, toolpath, line => words.name(line))}.`,
          })
        }
      },
    }
  },
})

function movesLinearJoint(toolpath: Toolpath, motion: number, linear: readonly number[]): boolean {
  return linear.some(joint => joint >= 0 && Math.abs(jointTravel(toolpath, motion, joint)) > 1e-9)
}

/** Greatest distance of the tool point from the chord of the motion begun, mm: the best of 33 moments, then refined about it. */
function greatestDeviation(pose: MotionPose): number {
  pose.at(1)
  const { px: x1, py: y1, pz: z1 } = pose
  pose.at(0)
  const { px: x0, py: y0, pz: z0 } = pose
  const dx = x1 - x0, dy = y1 - y0, dz = z1 - z0, square = dx * dx + dy * dy + dz * dz
  const deviation = (t: number) => {
    pose.at(t)
    const x = pose.px - x0, y = pose.py - y0, z = pose.pz - z0
    const along = square > 0 ? Math.min(1, Math.max(0, (x * dx + y * dy + z * dz) / square)) : 0
    return Math.hypot(x - along * dx, y - along * dy, z - along * dz)
  }
  let best = 0, bestTime = 0
  for (let n = 1; n < 32; n++) {
    const value = deviation(n / 32)
    if (value > best) {
      best = value
      bestTime = n / 32
    }
  }
  for (let step = 1 / 64; step > 1e-5; step /= 2) {
    for (const t of [bestTime - step, bestTime + step]) {
      const value = deviation(t)
      if (value <= best) continue
      best = value
      bestTime = t
    }
  }
  return best
}

function tiltingSetup(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "limits": { "gouge": 0.01 },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
