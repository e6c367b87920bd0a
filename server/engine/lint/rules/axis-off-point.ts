import { greatestMiss } from '../../geometry/axis-miss.ts'
import { millimetres } from '../figures.ts'
import { LimitTrack } from '../limit-track.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { extentOf, runInWords } from '../motion-runs.ts'
import { isFeedMotion, poseOf } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

export const axisOffPoint = defineRule({
  id: 'axis-off-point',
  level: 'error',
  group: 'motion',
  docs: {
    what: 'In a feed move of a pass with `axisThrough`, the line of the tool axis misses the point it must pass by more than `within`.',
    why: 'The pass was laid so that shank and holder go through a narrow opening: an axis that leaves the point takes them into its wall.',
    instead: 'Correct the rotary words, or the tool axis strategy that made them; move the point if the opening lies elsewhere.',
  },
  bad: [{
    title: 'the tool tilts, the point does not follow',
    setup: openingSetup(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z0. A0. C0.
N30 G1 Z-5. F500
N40 A-3.
    ^^^^ error axis-off-point: by 2.62 mm
`,
  }],
  good: [
    {
      title: 'along the line through the point',
      setup: openingSetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z0. A0. C0.
N30 G1 Z-5. F500
`,
    },
    {
      title: 'the approach is outside of the pass',
      setup: openingSetup().replace('"within": 0.05 }', '"within": 0.05 }, "from": "N30"'),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z80. A0. C0.
N25 G1 X9. F500
N26 X0.
N30 G1 Z-5. F500
`,
    },
  ],
  start: (report, context) => {
    const { setup, machine, kinematics, text } = context
    if (setup?.passes.some(pass => pass.axisThrough !== undefined) !== true) return {}
    const points = new LimitTrack(setup, (_limits, pass) => pass?.axisThrough)
    const faults = new MotionFaults()
    return {
      ...points.visitor, faults,
      motions(toolpath, first, end) {
        const pose = poseOf(context, toolpath)
        for (let i = first; i < end; i++) {
          if (!isFeedMotion(toolpath, i)) continue
          const through = points.at(i, toolpath)
          if (through === undefined) continue
          const miss = greatestMiss(pose, toolpath, i, kinematics.rotary, through.point).miss
          if (miss > through.within) faults.add(i, miss)
        }
      },
      end(toolpath, lineStarts) {
        const words = new LineWords(text, machine, lineStarts)
        for (const run of faults.runs(toolpath)) {
          const through = points.at(run.worstMotion, toolpath)
          if (through === undefined) continue
          report({
            rule: 'axis-off-point', motion: run.worstMotion, extent: extentOf(run, toolpath), span: words.wordsSpan(toolpath.line[run.worstMotion] ?? 0, 'XYZABCUVWIJK'),
            message: `The tool axis misses the point (${through.point.join(', ')}) by ${millimetres(run.figure)}; ${millimetres(through.within)} is allowed`
              + `${runInWords(run, toolpath, line => words.name(line))}.`,
          })
        }
      },
    }
  },
})

function openingSetup(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "limits": { "axisStep": 10 },
  "passes": [{ "tools": [1], "axisThrough": { "point": [0, 0, 45], "within": 0.05 } }],
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 80 }]
}`
}
