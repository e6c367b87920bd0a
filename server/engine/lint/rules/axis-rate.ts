import { perMinute, rounded } from '../figures.ts'
import { rateExcess, WorstRate } from '../joint-rate.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { extentOf, runInWords } from '../motion-runs.ts'
import { isFeedMotion, poseOf } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

export const axisRate = defineRule({
  id: 'axis-rate',
  level: 'warning',
  group: 'motion',
  docs: {
    what: 'The programmed feed asks an axis to move faster than it can feed.',
    why: 'The machine slows the whole block down: the work takes longer than planned, and the changing feed shows on the surface.',
    instead: 'Lower the feed there, spread the turn over more blocks, or keep away from the singular direction.',
  },
  bad: [{
    title: 'C has a quarter turn to make in a tenth of a millimetre',
    setup: tiltingSetup(),
    machine: slowTable(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z0. A0. C0.
N30 G1 X.1 C90. F600
           ^^^^ warning axis-rate: 75 times slower
N40 X10.
`,
  }],
  good: [{
    title: 'the same turn over a longer way',
    setup: tiltingSetup(),
    machine: slowTable(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43 H1 X0. Y0. Z0. A0. C0.
N30 G1 X10. C90. F600
`,
  }],
  start: (report, context) => {
    const { machine, kinematics, text } = context
    const faults = new MotionFaults()
    return {
      faults,
      motions(toolpath, first, end) {
        const pose = poseOf(context, toolpath), worst = new WorstRate(machine, toolpath)
        for (let i = first; i < end; i++) {
          if (!isFeedMotion(toolpath, i) || !((toolpath.seconds[i] ?? 0) > 0)) continue
          const ratio = worst.ratio(pose, i, kinematics.rotary)
          if (ratio > rateExcess) faults.add(i, ratio)
        }
      },
      end(toolpath, lineStarts) {
        const pose = poseOf(context, toolpath), worst = new WorstRate(machine, toolpath), words = new LineWords(text, machine, lineStarts)
        for (const run of faults.runs(toolpath)) {
          const ratio = worst.ratio(pose, run.worstMotion, kinematics.rotary)
          const axis = machine.axes[worst.joint]
          const limit = axis?.maxFeed ?? axis?.rapid
          if (axis === undefined || limit === undefined) continue
          report({
            rule: 'axis-rate', motion: run.worstMotion, extent: extentOf(run, toolpath), span: words.wordSpan(toolpath.line[run.worstMotion] ?? 0, axis.letter),
            message: `The feed asks ${axis.letter} for ${perMinute(ratio * limit, axis.kind)}; it has ${perMinute(limit, axis.kind)}, `
              + `so this block runs ${rounded(ratio)} times slower${runInWords(run, toolpath, line => words.name(line))}.`,
          })
        }
      },
    }
  },
})

function tiltingSetup(): string {
  return `{
  "machine": "example.machine.json",
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}

function slowTable(): string {
  return `{
  "name": "table-table with a slow C",
  "axes": {
    "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-300, 300], "rapid": 24000, "maxFeed": 10000 },
    "Y": { "kind": "linear", "direction": [0, 1, 0], "range": [-300, 300], "rapid": 24000, "maxFeed": 10000 },
    "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-300, 500], "rapid": 24000, "maxFeed": 10000 },
    "A": { "kind": "rotary", "direction": [-1, 0, 0], "through": [0, 0, 0], "range": [-110, 30], "rapid": 7200 },
    "C": { "kind": "rotary", "direction": [0, 0, -1], "through": [0, 0, 0], "range": null, "rapid": 7200 }
  },
  "table": ["A", "C"],
  "head": ["X", "Y", "Z"],
  "spindle": { "gauge": [0, 0, 0], "axis": [0, 0, 1] },
  "home": { "X": 0, "Y": 0, "Z": 400, "A": 0, "C": 0 }
}`
}
