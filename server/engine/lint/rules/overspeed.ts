import type { Span } from '../../../../shared/span.ts'
import type { Block } from '../../nc/block.ts'
import { blockSpan, findCode, findWord, wordSpan } from '../../nc/words.ts'
import { rounded } from '../figures.ts'
import { textOf } from '../fix-text.ts'
import { defineRule, type Place } from '../rule.ts'

export const overspeed = defineRule({
  id: 'overspeed',
  level: 'error',
  group: 'state',
  docs: {
    what: 'The spindle runs faster than the tool in it may turn.',
    why: 'A tool above its highest speed can burst or fly out of its holder.',
    instead: 'Lower S, or correct `maxSpeed` of the tool in the setup sheet.',
  },
  bad: [{
    title: 'above the speed of the tool',
    setup: limitedTool(),
    program: `
N10 T1 M6
N20 S30000 M3
    ^^^^^^ error overspeed: 24000
N30 G1 X10. F500
`,
  }],
  good: [{
    title: 'at the highest speed',
    setup: limitedTool(),
    program: `
N10 T1 M6
N20 S24000 M3
N30 G1 X10. F500
`,
  }],
  start: (report, { setup }) => {
    const tools = new Map(setup?.tools.map(tool => [tool.number, tool]))
    const memory: { written: Place | undefined, told: string } = { written: undefined, told: '' }
    return {
      memory,
      block({ block, after, file }) {
        const word = findWord(block, 'S')
        if (word >= 0) memory.written = { span: wordSpan(block, word), file }
        const { speed, spindle } = after
        const tool = after.tool === undefined ? undefined : tools.get(after.tool)
        if (spindle === 'stopped' || speed === undefined || tool?.maxSpeed === undefined || speed <= tool.maxSpeed) return
        const key = `${tool.number} ${speed}`
        if (memory.told === key) return
        memory.told = key
        report({
          rule: 'overspeed', span: word >= 0 ? wordSpan(block, word) : starterSpan(block),
          related: word >= 0 || memory.written === undefined ? [] : [{ ...memory.written, message: 'The speed was given here.' }],
          message: `S${speed} is above the ${rounded(tool.maxSpeed)} revolutions per minute that T${tool.number} (${tool.name}) may turn.`,
        })
      },
    }
  },
  fix: place => {
    const tool = place.setup?.tools.find(({ number }) => number === place.after.tool)
    if (tool?.maxSpeed === undefined || !/^S/i.test(textOf(place, place.span))) return undefined
    const most = `S${Math.floor(tool.maxSpeed)}`
    return { title: `Write ${most}, the highest speed of T${tool.number}`, edits: [{ span: place.span, text: most }], keepsMotion: false }
  },
})

/** What lets the spindle turn that fast in a block without S: the spindle code, else the tool change. */
function starterSpan(block: Block): Span {
  for (const code of [3, 4, 13, 14, 6]) {
    const word = findCode(block, 'M', code)
    if (word >= 0) return wordSpan(block, word)
  }
  return blockSpan(block)
}

function limitedTool(): string {
  return `{
  "tools": [
    { "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30, "maxSpeed": 24000 }
  ]
}`
}
