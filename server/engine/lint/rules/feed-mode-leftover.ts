import type { Edit } from '../../../../shared/finding.ts'
import type { MotionPose } from '../../../../shared/motion-pose.ts'
import type { Span } from '../../../../shared/span.ts'
import { MotionFlag, type Toolpath } from '../../../../shared/toolpath.ts'
import { findCode, findWord, wordSpan } from '../../nc/words.ts'
import { blockOn, blocksFrom, isPlain, textOf, wordsBehind } from '../fix-text.ts'
import type { Fix, FixPlace } from '../fix.ts'
import { isCutting, motionSpan } from '../motion-words.ts'
import { poseOf } from '../program-pose.ts'
import { blocks } from '../figures.ts'
import { defineRule } from '../rule.ts'

export const feedModeLeftover = defineRule({
  id: 'feed-mode-leftover',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A cutting block in inverse time (G93) has no F word of its own, or a block takes over an F that was given in another feed mode.',
    why: 'In inverse time F belongs to one block: an old one gives a wrong duration. After a change between G93, G94 and G95 the same number means another speed, often by a factor of hundreds.',
    instead: 'Write F in every G93 block, and a new F in the first cutting block after G94 or G95.',
  },
  bad: [
    {
      title: 'an inverse-time block has lost its F',
      program: `
N10 G93
N20 G1 X10. F50.
N30 X20.
    ^^^^ error feed-mode-leftover: inverse time
N40 X30. F50.
`,
    },
    {
      title: 'the inverse-time F is taken over as a feed per minute',
      program: `
N10 G93
N20 G1 X10. F50.
N30 G94
N40 G1 X20.
    ^^ error feed-mode-leftover: F50
`,
    },
  ],
  good: [{
    title: 'F in every inverse-time block, and a new one after G94',
    program: `
N10 G93
N20 G1 X10. F50.
N30 X20. F50.
N40 G94
N50 X30. F500
N60 X40.
`,
  }],
  start: report => {
    const memory: { run: { readonly span: Span, readonly file: string | undefined, readonly count: number } | undefined, told: boolean } = { run: undefined, told: false }
    const flush = () => {
      const { run } = memory
      if (run === undefined) return
      const count = run.count === 1 ? '' : ` The same holds for the ${blocks(run.count - 1)} after it.`
      report({ rule: 'feed-mode-leftover', span: run.span, file: run.file, message: `This block is in inverse time (G93) and has no F word of its own.${count}` })
      memory.run = undefined
    }
    return {
      memory,
      block(step) {
        const { block, after } = step
        const { feed, feedGivenIn, feedMode } = after
        if (!isCutting(step)) return
        if (feedMode === 93) {
          if (findWord(block, 'F') >= 0) flush()
          else if (memory.run === undefined || memory.run.file !== step.file) {
            flush()
            memory.run = { span: motionSpan(block), file: step.file, count: 1 }
          } else memory.run = { ...memory.run, count: memory.run.count + 1 }
          return
        }
        flush()
        const mode = feedMode ?? 94
        if (feed === undefined || feedGivenIn === undefined || feedGivenIn === mode) memory.told = false
        else if (!memory.told) {
          memory.told = true
          report({
            rule: 'feed-mode-leftover', span: motionSpan(block),
            message: `${Number.isNaN(feed) ? 'A feed that only the control works out' : `F${feed}`} was given under G${feedGivenIn} (${meanings[feedGivenIn]}); this block would take it as ${meanings[mode]} (G${mode}).`,
          })
        }
      },
      end: flush,
    }
  },
  fix: place => place.after.feedMode === 93 ? atTheSpeedBefore(place) : lastFeed(place, place.after.feedMode ?? 94),
})

/** The last feed that was given in the mode in force. */
function lastFeed(place: FixPlace, mode: 94 | 95): Fix | undefined {
  let found: string | undefined, inForce = 94
  for (const earlier of blocksFrom(place, 0)) {
    if (earlier.line >= place.line) break
    inForce = [93, 94, 95].find(code => findCode(earlier, 'G', code) >= 0) ?? inForce
    // Another tool runs at feeds of its own.
    if (findCode(earlier, 'M', 6) >= 0) found = undefined
    const word = findWord(earlier, 'F')
    if (word < 0 || inForce !== mode) continue
    found = isPlain(earlier, word) && (earlier.values[word] ?? 0) > 0 ? textOf(place, wordSpan(earlier, word)) : undefined
  }
  const block = blockOn(place, place.line)
  if (found === undefined || block === undefined) return undefined
  return { title: `Write ${found}, the last feed under G${mode}`, edits: [wordsBehind(block, found)], keepsMotion: false }
}

/** Gives straight blocks without F the speed of the tool point on the part that the block before them has. */
function atTheSpeedBefore(place: FixPlace): Fix | undefined {
  const { toolpath } = place, first = toolpath.line.indexOf(place.line)
  if (first < 1) return undefined
  const pose = poseOf(place, toolpath), seconds = toolpath.seconds[first - 1] ?? NaN
  const speed = straightLength(pose, toolpath, first - 1) / seconds
  if (!(speed > 0) || !Number.isFinite(speed)) return undefined
  const edits: Edit[] = []
  let last = -1
  for (let i = first; i < toolpath.count; i++) {
    const line = toolpath.line[i] ?? 0, flags = toolpath.flags[i] ?? 0
    if (line <= last || (flags & MotionFlag.rapid) !== 0) break
    const block = blockOn(place, line)
    if (block === undefined || findWord(block, 'F') >= 0) break
    const length = straightLength(pose, toolpath, i)
    if (!(length > 0)) break
    edits.push(wordsBehind(block, `F${inverseTime(speed * 60 / length)}`))
    last = line
  }
  return edits.length === 0 ? undefined
    : { title: `Write F at the speed of the block before (${blocks(edits.length)})`, edits, keepsMotion: false }
}

/** Way of the tool point over the part in a straight feed motion, mm; NaN for any other. */
function straightLength(pose: MotionPose, toolpath: Toolpath, motion: number): number {
  if ((toolpath.arcOf[motion] ?? -1) >= 0 || ((toolpath.flags[motion] ?? 0) & (MotionFlag.rapid | MotionFlag.unknownStart)) !== 0) return NaN
  pose.begin(motion)
  pose.at(0)
  const { px, py, pz } = pose
  pose.at(1)
  return Math.hypot(pose.px - px, pose.py - py, pose.pz - pz)
}

/** Four digits are finer than any control follows. */
function inverseTime(perMinute: number): string {
  const number = String(Number(perMinute.toPrecision(4)))
  return number.includes('.') ? number : `${number}.`
}

const meanings = { 93: 'inverse time', 94: 'feed per minute', 95: 'feed per revolution' } as const
