import { findWord, wordSpan } from '../../nc/words.ts'
import { isCutting, motionSpan } from '../motion-words.ts'
import { Notes } from '../notes.ts'
import { defineRule, type Place } from '../rule.ts'

export const toolNeverUsed = defineRule({
  id: 'tool-never-used',
  level: 'note',
  group: 'state',
  docs: {
    what: 'A tool is called and cuts nothing, or the sheet of this one program describes a tool that the program never calls.',
    why: 'It may be a wrong number: the tool that was meant is then another one.',
    instead: 'Correct the T word, or take the tool out of the program or the sheet.',
  },
  bad: [
    {
      title: 'T2 is called and the next tool takes its place before any cut',
      program: `
N10 T2 M6
    ^^ note tool-never-used: T2
N20 T1 M6
N30 G1 X10. F200
`,
    },
    {
      title: 'the sheet has a tool that the program does not call',
      setup: `
{
  "programs": ["bracket.nc"],
  "tools": [
    { "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30 },
    { "number": 2, "name": "ball 6", "cutter": { "shape": "ball", "DC": 6, "LCF": 9 }, "LPR": 35 }
                ^ note tool-never-used: T2
  ]
}`,
      program: `
N10 T1 M6
N20 G1 X10. F200
`,
    },
  ],
  good: [{
    title: 'the next tool is preselected while this one cuts',
    program: `
N10 T1 M6
N20 T2
N30 G1 X10. F200
N40 M6
N50 G1 X0.
`,
  }],
  start: (report, { setup }) => {
    // A note for each T word and for each tool that begins to cut.
    const memory: { cutting: number | undefined } = { cutting: undefined }
    const notes = new Notes<Place & { readonly number: number, readonly cuts: boolean }>()
    return {
      memory, notes,
      block(step) {
        const { block, after, file } = step
        const word = findWord(block, 'T')
        const number = word < 0 ? undefined : block.values[word]
        // A number that only the control works out may be any of the tools.
        if (number !== undefined) notes.add({ span: wordSpan(block, word), file, number, cuts: false })
        if (after.tool === undefined || after.tool === memory.cutting || !isCutting(step)) return
        memory.cutting = after.tool
        notes.add({ span: motionSpan(block), file, number: after.tool, cuts: true })
      },
      end() {
        const called = new Map<number, Place>(), cut = new Set<number>()
        let isAnyCalled = false
        for (const { number, cuts, span, file } of notes.list) {
          if (cuts) cut.add(number)
          else if (Number.isNaN(number)) isAnyCalled = true
          else if (!called.has(number)) called.set(number, { span, file })
        }
        for (const [number, place] of called) {
          if (number !== 0 && !cut.has(number)) report({ rule: 'tool-never-used', ...place, message: `T${number} is called here and cuts nothing.` })
        }
        // A sheet that serves several programs may well hold tools that this one does not need.
        const servesOne = setup !== undefined && setup.programs.length <= 1 && !/[*?]/.test(setup.programs[0] ?? '')
        if (!servesOne || isAnyCalled) return
        for (const { number, span, name } of [...setup.tools, ...setup.toolsSetAside ?? []]) {
          if (!called.has(number)) report({ rule: 'tool-never-used', span, file: setup.path, message: `The program never calls T${number} (${name}).` })
        }
      },
    }
  },
})
