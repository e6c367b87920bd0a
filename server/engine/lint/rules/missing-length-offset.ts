import { findCode, findWord, wordSpan } from '../../nc/words.ts'
import { blocksFrom, wordsBefore } from '../fix-text.ts'
import type { Fix, FixPlace } from '../fix.ts'
import { isCutting, motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

export const missingLengthOffset = defineRule({
  id: 'missing-length-offset',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A cutting move is made while no tool length is taken into account: neither G43 nor tool-centre control is on, or its H is missing or 0.',
    why: 'The control puts the spindle nose where the tool tip should be: the tool is driven into the part by its whole length.',
    instead: 'Call G43 (or tool-centre control) with the H number of the tool before going near the part.',
  },
  bad: [
    {
      title: 'no length offset at all',
      program: `
N10 T1 M6
N20 G0 X0. Y0. Z5.
N30 G1 Z-1. F200
    ^^ error missing-length-offset: neither
`,
    },
    {
      title: 'H0 is no length',
      program: `
N10 T1 M6
N20 G43 H0 Z5.
N30 G1 Z-1. F200
    ^^ error missing-length-offset: H0
`,
    },
  ],
  good: [{
    title: 'G43 with the number of the tool',
    program: `
N10 T1 M6
N20 G0 G43 H1 Z5.
N30 G1 Z-1. F200
`,
  }],
  start: report => {
    const memory = { told: false }
    return {
      memory,
      block(step) {
        const { lengthCompensation, toolCentre, lengthOffset } = step.after
        const on = lengthCompensation === 43 || toolCentre
        if (on && lengthOffset !== undefined && lengthOffset !== 0) memory.told = false
        else if (!memory.told && isCutting(step)) {
          memory.told = true
          const reason = !on ? 'neither G43 nor tool-centre control is on'
            : lengthOffset === undefined ? 'no H word has named a length offset' : 'H0 stands for no length'
          report({
            rule: 'missing-length-offset', span: motionSpan(step.block),
            message: `This block cuts without the tool's length: ${reason}.`,
          })
        }
      },
    }
  },
  fix: place => {
    const { after, setup } = place
    const { tool, lengthOffset, lengthOffsetSpan, lengthCompensation, toolCentre } = after
    if (tool === undefined || tool === 0) return undefined
    const wanted = `H${setup?.tools.find(({ number }) => number === tool)?.lengthOffset ?? tool}`
    if (lengthCompensation !== 43 && !toolCentre) return calledInTime(place, wanted)
    // G43 without H keeps none to be corrected: where it belongs is for the writer to say.
    if (lengthOffset === undefined || lengthOffsetSpan === undefined) return undefined
    return { title: `Write ${wanted}, the length offset of T${tool}`, edits: [{ span: lengthOffsetSpan, text: wanted }], keepsMotion: false }
  },
})

/** G43 belongs to the first way along Z with the tool, not to the cut. */
function calledInTime(place: FixPlace, wanted: string): Fix | undefined {
  let start: number | undefined
  for (const block of blocksFrom(place, 0)) {
    if (block.line > place.line) break
    if (findCode(block, 'M', 6) >= 0) start = undefined
    const z = findWord(block, 'Z')
    if (start === undefined && z >= 0 && ![4, 10, 28, 30, 52, 53, 92].some(code => findCode(block, 'G', code) >= 0)) start = wordSpan(block, 0).start
  }
  return start === undefined ? undefined
    : { title: `Call G43 ${wanted} with the first way along Z`, edits: [wordsBefore({ start, end: start }, `G43 ${wanted}`)], keepsMotion: false }
}
