import { isSameRun, type Toolpath } from '../../../../shared/toolpath.ts'
import { degrees } from '../figures.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { isFeedMotion, jointTravel } from '../program-pose.ts'
import { defineRule } from '../rule.ts'

/** From here on a turn is taken for a rewind: C359. to C1. is one of 358°. */
const REWIND = 330 * Math.PI / 180

export const rotaryUnwind = defineRule({
  id: 'rotary-unwind',
  level: 'warning',
  group: 'motion',
  docs: {
    what: 'A rotary axis turns back by about a whole turn or more in one block: its counting wraps round, or wound-up turns are let go.',
    why: 'The axis takes the long way round: in the cut it drags the tool about the part, in a rapid it costs time and sweeps everything on the table past the tool. C350. to C10. is a turn of -340°, not of 20°.',
    instead: 'Go on counting (C370. instead of C10.), or rewind with the tool clear of the part.',
  },
  bad: [
    {
      title: 'the angle wraps from 359 to 1 in the cut',
      setup: turningSetup(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C350.
N20 G1 C359. F500
N30 C1.
    ^^^ warning rotary-unwind: -358°
N40 C10.
`,
    },
    {
      title: 'twenty turns wound up and let go',
      setup: turningSetup(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C0.
N20 G1 C7200. F5000
N30 G0 C0.
       ^^^ warning rotary-unwind: 20 turns
`,
    },
  ],
  good: [
    {
      title: 'the angle counts on',
      setup: turningSetup(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C350.
N20 G1 C370. F500
`,
    },
    {
      title: 'the way to the first position may be long',
      setup: turningSetup(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C350.
`,
    },
    {
      title: 'whole turns in the cut are work, not a rewind',
      setup: turningSetup(),
      program: `
N10 G21 G90 G94 G54 G0 X0. Y0. Z0. A0. C0.
N20 G1 C7200. F5000
`,
    },
  ],
  start: (report, { machine, kinematics, text }) => {
    // What a block turns is seen in the block; whether that is a rewind, in what stands before it.
    const faults = new MotionFaults()
    return {
      faults,
      motions(toolpath, begin, last) {
        const { axes: { length: width }, joints } = toolpath
        // A rapid may take several motions; the block is what counts.
        for (let first = begin; first < last;) {
          let end = first + 1
          while (end < last && isSameRun(toolpath, end, first)) end++
          for (const joint of kinematics.rotary) {
            const turn = (joints[end * width + joint] ?? NaN) - (joints[first * width + joint] ?? NaN)
            if (Math.abs(turn) >= REWIND) faults.add(first, turn, joint)
          }
          first = end
        }
      },
      end(toolpath, lineStarts) {
        const words = new LineWords(text, machine, lineStarts)
        for (const { motion, figure: turn, of: joint } of faults.list) {
          const from = toolpath.joints[motion * toolpath.axes.length + joint] ?? NaN
          // A turn away from zero is work or the way to the first position; one that comes back toward it is a rewind.
          if (Math.abs(from + turn) >= Math.abs(from) && !(isFeedMotion(toolpath, motion) && wraps(toolpath, motion, joint, turn))) continue
          const letter = toolpath.axes[joint] ?? ''
          const turns = Math.floor(Math.abs(turn) / (2 * Math.PI) + 1e-9)
          const rest = turn - Math.round(turn / (2 * Math.PI)) * 2 * Math.PI
          const rewound = turns >= 2 ? ` (${turns} turns)` : ''
          const short = Math.abs(rest) < 1e-9 ? 'it stands there already' : `the short way is ${degrees(rest)}`
          report({
            rule: 'rotary-unwind', motion, span: words.wordSpan(toolpath.line[motion] ?? 0, letter),
            message: `${letter} turns by ${degrees(turn)}${rewound} in this block; ${short}.`,
          })
        }
      },
    }
  },
})

/** The joint turned the other way just before, and its new position is the old one but for a little: the counting jumps, as from 1 to 359. */
function wraps(toolpath: Toolpath, motion: number, joint: number, turn: number): boolean {
  const before = motion === 0 ? 0 : jointTravel(toolpath, motion - 1, joint)
  return before * turn < 0 && Math.abs(turn) < 2 * Math.PI
}

function turningSetup(): string {
  return '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }'
}
