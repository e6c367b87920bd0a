import { defineRule } from '../rule.ts'

const program = `
N10 G0 X0. Y0.
`

export const severalSetups = defineRule({
  id: 'several-setups',
  level: 'note',
  group: 'inputs',
  docs: {
    what: 'Several setup sheets would serve this program, and one of them was taken.',
    why: 'With another machine, part or clamping the same program can be wrong where this check finds nothing.',
    instead: 'Choose the sheet: `--setup FILE`, *Choose the Setup Sheet of This Program* in the editor, or name the program itself, without `*`, in the `programs` of one sheet only. To prove a program for each clamping, check it once with each sheet.',
  },
  bad: [{
    title: 'a second sheet beside the first, for the same program',
    setup: '{ "programs": ["*.nc"], "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }',
    otherSheets: ['second.setup.json'],
    program: `
N10 G0 X0. Y0.
^ note several-setups: second.setup.json
`,
  }],
  good: [{
    title: 'one sheet',
    setup: '{ "programs": ["*.nc"], "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }',
    program,
  }],
})
