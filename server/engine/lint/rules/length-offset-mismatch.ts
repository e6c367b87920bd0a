import { textOf, wordsBefore } from '../fix-text.ts'
import { isReturnHome, motionSpan } from '../motion-words.ts'
import { defineRule, type Place } from '../rule.ts'

export const lengthOffsetMismatch = defineRule({
  id: 'length-offset-mismatch',
  level: 'warning',
  group: 'state',
  docs: {
    what: 'The H number in force is not the one the setup sheet gives for the tool in the spindle.',
    why: 'The control takes the length of another tool: the tip runs too high or too low by the difference.',
    instead: 'Use the H number of the tool, or correct `lengthOffset` in the setup sheet.',
  },
  bad: [
    {
      title: 'H of another tool',
      setup: twoTools(),
      program: `
N10 T1 M6
N20 G0 G43 H2 Z5.
           ^^ warning length-offset-mismatch: H1
N30 G1 Z-1. F200
`,
    },
    {
      title: 'the H of the tool before is still on',
      setup: twoTools(),
      program: `
N10 T1 M6
N20 G0 G43 H1 Z50.
N30 T2 M6
N40 G0 Z5.
    ^^ warning length-offset-mismatch: H2
`,
    },
  ],
  good: [{
    title: 'each tool with its own H',
    setup: twoTools(),
    program: `
N10 T1 M6
N20 G0 G43 H1 Z5.
N30 T2 M6
N40 G0 G43 H2 Z5.
`,
  }],
  start: (report, { setup }) => {
    const wantedH = new Map([...setup?.tools ?? [], ...setup?.toolsSetAside ?? []].map(tool => [tool.number, tool.lengthOffset]))
    // Where the H in force was written, and whether that was for the tool in the spindle.
    const memory: { written: Place | undefined, isFresh: boolean, told: string } = { written: undefined, isFresh: false, told: '' }
    return {
      memory,
      block({ block, before, after, firstMotion, endMotion, file }) {
        if (after.tool !== before.tool) memory.isFresh = false
        if (after.lengthOffsetSpan !== before.lengthOffsetSpan) {
          memory.written = after.lengthOffsetSpan === undefined ? undefined : { span: after.lengthOffsetSpan, file }
          memory.isFresh = true
        }
        const { tool, lengthOffset } = after, { written, isFresh } = memory
        if (tool === undefined || lengthOffset === undefined || lengthOffset === 0 || endMotion === firstMotion) return
        // A number that only the control works out may be the right one; that it is not known here is told where it stands.
        if (Number.isNaN(lengthOffset)) return
        if (!after.toolCentre && after.lengthCompensation !== 43 || isReturnHome(block)) return
        const wanted = wantedH.get(tool)
        const key = `${tool} ${lengthOffset}`
        if (wanted === undefined || wanted === lengthOffset || memory.told === key) return
        memory.told = key
        const place = isFresh && written !== undefined ? written : { span: motionSpan(block), file }
        report({
          rule: 'length-offset-mismatch',
          ...place,
          message: `H${lengthOffset} is in force with tool T${tool}, whose length offset is H${wanted} by the setup sheet.`,
          related: isFresh || written === undefined ? [] : [{ ...written, message: `H${lengthOffset} was set here, for the tool before.` }],
        })
      },
    }
  },
  fix: place => {
    const { setup, span, after } = place
    const tool = setup?.tools.find(({ number }) => number === after.tool)
    if (tool === undefined) return undefined
    const wanted = `H${tool.lengthOffset}`
    if (/^H/i.test(textOf(place, span))) return { title: `Write ${wanted}, the length offset of T${tool.number}`, edits: [{ span, text: wanted }], keepsMotion: false }
    // How tool-centre control is called again differs from control to control.
    return after.lengthCompensation !== 43 || after.toolCentre ? undefined
      : { title: `Call G43 ${wanted}, the length offset of T${tool.number}`, edits: [wordsBefore(span, `G43 ${wanted}`)], keepsMotion: false }
  },
})

function twoTools(): string {
  return `{
  "tools": [
    { "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30, "lengthOffset": 1 },
    { "number": 2, "name": "ball 6", "cutter": { "shape": "ball", "DC": 6, "LCF": 9 }, "LPR": 35, "lengthOffset": 2 }
  ]
}`
}
