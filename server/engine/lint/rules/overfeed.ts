import type { MotionPose } from '../../../../shared/motion-pose.ts'
import { MotionFlag, type Toolpath } from '../../../../shared/toolpath.ts'
import type { Tool } from '../../../../shared/setup.ts'
import type { Problem } from '../../../../shared/problem.ts'
import { findWord, wordSpan } from '../../nc/words.ts'
import { rounded } from '../figures.ts'
import { LineWords } from '../line-words.ts'
import { MotionFaults } from '../motion-faults.ts'
import { runInWords } from '../motion-runs.ts'
import { isCutting, motionSpan } from '../motion-words.ts'
import { poseOf } from '../program-pose.ts'
import { defineRule, type BlockStep, type Place } from '../rule.ts'

export const overfeed = defineRule({
  id: 'overfeed',
  level: 'error',
  group: 'state',
  docs: {
    what: 'The feed is above what the tool may run at, or above what any linear axis of the machine can feed.',
    why: 'The tool is overloaded and breaks; or the machine runs slower than the program says and nobody notices.',
    instead: 'Lower F, or correct `maxFeed` of the tool in the setup sheet or of the axes in the machine file.',
  },
  bad: [
    {
      title: 'above the feed of the tool',
      setup: limitedTool(),
      program: `
N10 T1 M6
N20 G21 G94 G1 X10. F5000
                    ^^^^^ error overfeed: 3000 mm/min
N30 X20.
`,
    },
    {
      title: 'inverse time: 10 mm in 1/500 minute',
      setup: limitedTool(),
      program: `
N10 T1 M6
N20 G21 G90 G54 G0 G43 H1 X0. Y0. Z0.
N30 G93 G1 X10. F500.
                ^^^^^ error overfeed: 5000 mm/min
`,
    },
  ],
  good: [{
    title: 'at the highest feed',
    setup: limitedTool(),
    program: `
N10 T1 M6
N20 G21 G94 G1 X10. F3000
`,
  }],
  start: (report, context) => {
    const { setup, machine, text } = context
    const tools = new Map(setup?.tools.map(tool => [tool.number, tool]))
    const axisFeed = fastestAxis(machine.axes)
    const memory: { written: Place | undefined, told: string } = { written: undefined, told: '' }
    const faults = new MotionFaults()

    const tell = (place: Partial<Problem> & Place, feed: number, tool: Tool | undefined, more: string) => {
      const limit = tool?.maxFeed !== undefined && feed > tool.maxFeed
        ? `T${tool.number} (${tool.name}) may run at ${rounded(tool.maxFeed)} mm/min`
        : `the fastest linear axis feeds ${rounded(axisFeed)} mm/min`
      report({ ...place, rule: 'overfeed', message: `The feed is ${rounded(feed)} mm/min, but ${limit}${more}.` })
    }
    const isOver = (feed: number, tool: Tool | undefined) => feed > Math.min(tool?.maxFeed ?? Infinity, axisFeed) * 1.001

    return {
      memory, faults,
      block(step) {
        const { block, after, file } = step
        const word = findWord(block, 'F')
        if (word >= 0) memory.written = { span: wordSpan(block, word), file }
        // Inverse time says nothing of feed before the way is known.
        if (!isCutting(step) || after.feedMode === 93) return
        const feed = millimetresPerMinute(step, setup?.unit ?? 1)
        const tool = after.tool === undefined ? undefined : tools.get(after.tool)
        if (feed === undefined || !isOver(feed, tool)) return
        const key = `${after.tool} ${feed}`
        if (memory.told === key) return
        memory.told = key
        tell(memory.written ?? { span: motionSpan(block), file }, feed, tool, '')
      },
      motions(toolpath, first, end) {
        const pose = poseOf(context, toolpath)
        for (let i = first; i < end; i++) {
          if (((toolpath.flags[i] ?? 0) & MotionFlag.inverseTime) === 0) continue
          const feed = chordFeed(pose, toolpath, i)
          if (isOver(feed, setup?.tools[toolpath.tool[i] ?? -1])) faults.add(i, feed)
        }
      },
      end(toolpath, lineStarts) {
        const words = new LineWords(text, machine, lineStarts)
        for (const run of faults.runs(toolpath)) {
          const tool = setup?.tools[toolpath.tool[run.worstMotion] ?? -1]
          const span = words.wordSpan(toolpath.line[run.worstMotion] ?? 0, 'F')
          tell({ span, file: undefined, motion: run.worstMotion }, run.figure, tool, runInWords(run, toolpath, line => words.name(line)))
        }
      },
    }
  },
})

/** The feed of a block with F per minute or per revolution; undefined where F counts degrees or is not known. */
function millimetresPerMinute({ block, after }: BlockStep, sheetUnit: number): number | undefined {
  const { feed, feedMode = 94, feedGivenIn = feedMode, speed } = after
  const isLinear = ['X', 'Y', 'Z', 'U', 'V', 'W'].some(letter => findWord(block, letter) >= 0)
  if (feed === undefined || feedGivenIn !== feedMode || !isLinear) return undefined
  const perMinute = feed * (after.unit ?? sheetUnit)
  return feedMode === 95 ? speed === undefined ? undefined : perMinute * speed : perMinute
}

/** How fast the tool point covers the straight line between the ends: never more than the true feed, mm/min. */
function chordFeed(pose: MotionPose, toolpath: Toolpath, i: number): number {
  const seconds = toolpath.seconds[i] ?? 0
  if (!(seconds > 0) || ((toolpath.flags[i] ?? 0) & (MotionFlag.rapid | MotionFlag.unknownStart)) !== 0) return 0
  pose.begin(i)
  pose.at(0)
  const { px, py, pz } = pose
  pose.at(1)
  return Math.hypot(pose.px - px, pose.py - py, pose.pz - pz) / seconds * 60
}

/** mm/min; Infinity where the file gives no feed for some linear axis. */
function fastestAxis(axes: readonly { readonly kind: string, readonly maxFeed?: number }[]): number {
  const feeds = axes.filter(axis => axis.kind === 'linear').map(axis => axis.maxFeed ?? Infinity)
  // Three axes at their top rate along a space diagonal: faster is out of reach in any direction.
  return Math.hypot(...feeds.sort((a, b) => b - a).slice(0, 3)) * 60
}

function limitedTool(): string {
  return `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "tools": [
    { "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30, "maxFeed": 3000 }
  ]
}`
}
