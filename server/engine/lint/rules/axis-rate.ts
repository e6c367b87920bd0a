import type { Machine } from '../../../../shared/machine.ts'
import type { MotionPose } from '../../../../shared/motion-pose.ts'
import { ARC_STRIDE, MotionKind, type Toolpath } from '../../../../shared/toolpath.ts'
import { perMinute, rounded } from '../figures.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { runInWords } from '../motion-runs.ts'
import { isFeedMotion, jointTravel, poseOf, rotaryTravel } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

/** Below this excess the difference is the rounding of the block's time. */
const EXCESS = 1.005
/**
 * Under tool-centre control the linear joints follow the rotary ones on curves, and their rates change
 * along the block. Rates are averaged over pieces of this turn (radians): they come out too low by at most half of it, 2.5 %.
 */
const PIECE = 0.05
const MOST_PIECES = 64

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
          if (ratio > EXCESS) faults.add(i, ratio)
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
            rule: 'axis-rate', motion: run.worstMotion, span: words.wordSpan(toolpath.line[run.worstMotion] ?? 0, axis.letter),
            message: `The feed asks ${axis.letter} for ${perMinute(ratio * limit, axis.kind)}; it has ${perMinute(limit, axis.kind)}, `
              + `so this block runs ${rounded(ratio)} times slower${runInWords(run, toolpath, line => words.name(line))}.`,
          })
        }
      },
    }
  },
})

/** The joint that is asked the most of, measured by what it has. */
class WorstRate {
  joint = -1
  readonly #limits: readonly number[]
  readonly #toolpath: Toolpath
  readonly #from: Float64Array
  readonly #to: Float64Array

  constructor(machine: Machine, toolpath: Toolpath) {
    this.#limits = machine.axes.map(axis => axis.maxFeed ?? axis.rapid ?? Infinity)
    this.#toolpath = toolpath
    this.#from = new Float64Array(toolpath.axes.length)
    this.#to = new Float64Array(toolpath.axes.length)
  }

  /** Greatest rate over limit in the motion; leaves the joint in `joint`. */
  ratio(pose: MotionPose, motion: number, rotary: readonly number[]): number {
    const toolpath = this.#toolpath
    const seconds = toolpath.seconds[motion] ?? 0
    let most = 0
    this.joint = -1
    const take = (joint: number, travel: number, time: number) => {
      const ratio = Math.abs(travel) / time / (this.#limits[joint] ?? Infinity)
      if (ratio > most) {
        most = ratio
        this.joint = joint
      }
    }
    const pieces = piecesOf(toolpath, motion, rotary)
    if (pieces === 1) {
      for (let joint = 0; joint < toolpath.axes.length; joint++) take(joint, jointTravel(toolpath, motion, joint), seconds)
      return most
    }
    pose.begin(motion)
    pose.jointsAt(0, this.#from)
    for (let n = 1; n <= pieces; n++) {
      pose.jointsAt(n / pieces, this.#to)
      for (let joint = 0; joint < toolpath.axes.length; joint++) take(joint, (this.#to[joint] ?? 0) - (this.#from[joint] ?? 0), seconds / pieces)
      this.#from.set(this.#to)
    }
    return most
  }
}

/** One where the joints move evenly; an arc turns its own direction as well. */
function piecesOf(toolpath: Toolpath, motion: number, rotary: readonly number[]): number {
  if (toolpath.kind[motion] === MotionKind.joints) return 1
  const arc = toolpath.arcOf[motion] ?? -1
  const sweep = arc < 0 ? 0 : toolpath.arcs[arc * ARC_STRIDE + 9] ?? 0
  return Math.min(MOST_PIECES, Math.max(1, Math.ceil((rotaryTravel(toolpath, motion, rotary) + sweep) / PIECE)))
}

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
