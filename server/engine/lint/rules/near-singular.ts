import type { MotionPose } from '../../../../shared/motion-pose.ts'
import type { Report } from '../../../../shared/problem.ts'
import type { Toolpath } from '../../../../shared/toolpath.ts'
import { RotarySolver } from '../../../../shared/inverse-kinematics.ts'
import { applyChain, machineToPart, newToolPose, toolPose, type Kinematics } from '../../../../shared/kinematics.ts'
import { degrees, perMinute, rounded } from '../figures.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { extentOf, runInWords } from '../motion-runs.ts'
import { angleBetween, isFeedMotion, jointTravel, poseOf, rotaryTravel } from '../program-pose.ts'
import { defineRule, type RuleContext } from '../rule.ts'

/** Common practice: keep 2 to 5 degrees away from the singular direction. */
const NEAR = 2 * Math.PI / 180
/** A joint that hardly turns does no harm there. */
const SMALL_TURN = Math.PI / 180
/** An axis that lies in the singular direction all along is not passing it: the joint then turns on purpose. */
const ALIGNED = 1e-6

export const nearSingular = defineRule({
  id: 'near-singular',
  level: 'warning',
  group: 'motion',
  docs: {
    what: 'In the cut, the tool axis comes within 2° of the direction in which a rotary axis has no effect on it, while that axis turns; or, at the end of what a nutating machine reaches, of one in which both rotary axes turn the tool the same way.',
    why: 'Near that direction a small tilt of the tool asks for a large turn of the axis: the feed drops or the axis cannot follow, and the tool leaves a dwell mark.',
    instead: 'Keep the tool axis 2 to 5° away from it, set the part up at another angle, or lock the axis for these blocks.',
  },
  bad: [{
    title: 'C turns by 90° while the tool stands half a degree off its axis',
    setup: tiltingSetup(),
    program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z0. A-0.5 C0.
N30 G1 X1. A-0.4 C90. F600
                 ^^^^ warning near-singular: 0.4° of
N40 X2. A-5. C90.2
`,
  }],
  good: [
    {
      title: 'ten degrees away',
      setup: tiltingSetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z0. A-10. C0.
N30 G1 X1. A-10. C5. F600
`,
    },
    {
      title: 'C turns a part that stands upright',
      setup: tiltingSetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X10. Y0. Z0. A0. C0.
N30 G1 C90. F600
`,
    },
    {
      title: 'A passes through the upright while C rests',
      setup: tiltingSetup(),
      program: `
N10 T1 M6
N20 G21 G90 G94 G54 G0 G43.4 H1 X0. Y0. Z0. A-5. C0.
N30 G1 X10. A5. F600
`,
    },
  ],
  start: (report, context) => {
    const { machine, kinematics, text } = context
    const faults = new MotionFaults()
    return {
      faults,
      motions(toolpath, first, end) {
        const pose = poseOf(context, toolpath), probe = new JointDirection(kinematics, toolpath.axes.length)
        for (let i = first; i < end; i++) {
          if (!isFeedMotion(toolpath, i)) continue
          for (const joint of kinematics.rotary) {
            if (!(Math.abs(jointTravel(toolpath, i, joint)) >= SMALL_TURN)) continue
            const { least, most } = probe.angles(pose, toolpath, i, joint)
            if (least < NEAR && most > ALIGNED) faults.add(i, -least, joint)
          }
        }
        findSameWay(faults, context, toolpath, first, end)
      },
      end(toolpath, lineStarts) {
        const words = new LineWords(text, machine, lineStarts)
        for (const joint of kinematics.rotary) {
          const axis = machine.axes[joint]
          const letter = axis?.letter ?? ''
          for (const run of faults.runs(toolpath, joint)) {
            const i = run.worstMotion
            const seconds = toolpath.seconds[i] ?? 0
            const limit = axis?.maxFeed ?? axis?.rapid
            const turn = Math.abs(jointTravel(toolpath, i, joint))
            const rate = seconds > 0
              ? `; at this feed it would need ${perMinute(turn / seconds, 'rotary')}${limit === undefined ? '' : ` of its ${perMinute(limit, 'rotary')}`}` : ''
            report({
              rule: 'near-singular', motion: i, extent: extentOf(run, toolpath), span: words.wordSpan(toolpath.line[i] ?? 0, letter),
              message: `The tool axis comes within ${degrees(-run.figure)} of the axis of ${letter}, which turns by ${degrees(turn)} in this block`
                + `${rate}${runInWords(run, toolpath, line => words.name(line))}.`,
            })
          }
        }
        reportSameWay(report, faults, context, toolpath, words)
      },
    }
  },
})

/** Faults of both rotary joints together. */
const BOTH = -1

/**
 * Blocks in which both rotary axes turn the tool nearly the same way: across that way it moves little
 * however far they turn. Blocks near an axis of a joint have been found already.
 */
function findSameWay(faults: MotionFaults, { machine, kinematics }: RuleContext, toolpath: Toolpath, first: number, end: number): void {
  const solver = new RotarySolver(kinematics, machine.axes.map(axis => axis.range))
  if (solver.order.length < 2 || !solver.supported) return
  const width = toolpath.axes.length, joints = new Float64Array(width)
  const reached = newToolPose(), poles = solver.singularDirections()
  for (let i = first; i < end; i++) {
    if (!isFeedMotion(toolpath, i) || !solver.order.every(joint => Math.abs(jointTravel(toolpath, i, joint)) >= SMALL_TURN)) continue
    let least = 1, nearPole = Math.PI
    for (let n = 0; n <= 16; n++) {
      for (let j = 0; j < width; j++) joints[j] = (toolpath.joints[i * width + j] ?? 0) + jointTravel(toolpath, i, j) * n / 16
      least = Math.min(least, solver.mobility(joints))
      toolPose(kinematics, joints, 0, reached)
      const [x = 0, y = 0, z = 0] = reached.axis
      for (const [a = 0, b = 0, c = 0] of poles) nearPole = Math.min(nearPole, angleBetween(x, y, z, a, b, c))
    }
    if (least < Math.sin(NEAR) && nearPole > NEAR * 2) faults.add(i, -least, BOTH)
  }
}

function reportSameWay(report: Report, faults: MotionFaults, { machine, kinematics }: RuleContext, toolpath: Toolpath, words: LineWords): void {
  const [outer, inner] = new RotarySolver(kinematics, machine.axes.map(axis => axis.range)).order
  if (outer === undefined || inner === undefined) return
  for (const run of faults.runs(toolpath, BOTH)) {
    const i = run.worstMotion
    const [most = outer, other = inner] = [outer, inner].sort((a, b) => Math.abs(jointTravel(toolpath, i, b)) - Math.abs(jointTravel(toolpath, i, a)))
    const letters = [most, other].map(joint => machine.axes[joint]?.letter ?? '')
    const turns = [most, other].map(joint => degrees(Math.abs(jointTravel(toolpath, i, joint))))
    report({
      rule: 'near-singular', motion: i, extent: extentOf(run, toolpath), span: words.wordSpan(toolpath.line[i] ?? 0, letters[0] ?? ''),
      message: `${letters[0]} and ${letters[1]} turn the tool nearly the same way here, by ${turns[0]} and ${turns[1]} in this block: `
        + `across that way they move it by ${rounded(-run.figure * 100)} % of their turn at the least${runInWords(run, toolpath, line => words.name(line))}.`,
    })
  }
}

/** Angle between the tool axis and the axis of a rotary joint along a motion. */
class JointDirection {
  readonly #kinematics: Kinematics
  readonly #joints: Float64Array
  readonly #direction = new Float64Array(3)

  constructor(kinematics: Kinematics, width: number) {
    this.#kinematics = kinematics
    this.#joints = new Float64Array(width)
  }

  /** Smallest and greatest angle at seventeen moments; rotary joints move evenly, so the angle runs smoothly between them. */
  angles(pose: MotionPose, toolpath: Toolpath, motion: number, joint: number): { least: number, most: number } {
    let least = Math.PI, most = 0
    // The angle cannot change by more than all rotary joints turn together.
    const reach = rotaryTravel(toolpath, motion, this.#kinematics.rotary)
    pose.begin(motion)
    for (let n = 0; n <= 16; n++) {
      const angle = this.#angle(pose, toolpath, motion, joint, n / 16)
      least = Math.min(least, angle)
      most = Math.max(most, angle)
      if (angle - reach >= NEAR) break
    }
    return { least, most }
  }

  /** Between the two lines, so at most a quarter turn. */
  #angle(pose: MotionPose, toolpath: Toolpath, motion: number, joint: number, t: number): number {
    pose.at(t)
    const width = toolpath.axes.length
    // Directions depend on the rotary joints alone, and those move evenly in every kind of motion.
    for (let j = 0; j < width; j++) this.#joints[j] = (toolpath.joints[motion * width + j] ?? 0) + jointTravel(toolpath, motion, j) * t
    this.#aim(joint)
    const [x = 0, y = 0, z = 0] = this.#direction
    const angle = angleBetween(pose.ax, pose.ay, pose.az, x, y, z)
    return Math.min(angle, Math.PI - angle)
  }

  /** The joint's axis in the part frame at the joints in hand. */
  #aim(joint: number): void {
    const { head, table } = this.#kinematics
    for (const chain of [head, table]) {
      const at = chain.findIndex(link => link.joint === joint)
      const link = chain[at]
      if (link === undefined) continue
      this.#direction.set(link.direction)
      applyChain(chain.slice(0, at), this.#joints, this.#direction, false)
      machineToPart(this.#kinematics, this.#joints, this.#direction, false)
    }
  }
}

function tiltingSetup(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 }]
}`
}
