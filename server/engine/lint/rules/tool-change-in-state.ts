import { findCode, wordSpan } from '../../nc/words.ts'
import { blockAbove } from '../fix-text.ts'
import { defineRule } from '../rule.ts'

export const toolChangeInState = defineRule({
  id: 'tool-change-in-state',
  level: 'error',
  group: 'state',
  docs: {
    what: 'A tool change (M6) is asked for while tool-centre control, a tilted working plane or radius compensation is on.',
    why: 'Controls stop with an alarm, or carry the old tool\'s length and radius over into the way to the changer.',
    instead: 'Switch it off (G49, G69, G40) and retract before M6.',
  },
  bad: [
    {
      title: 'tool-centre control is still on',
      program: `
N10 T1 M6
N20 G43.4 H1 Z50.
N30 T2 M6
       ^^ error tool-change-in-state: tool-centre control
`,
    },
    {
      title: 'radius compensation is still on',
      program: `
N10 G1 G41 D1 X10. F200
N20 T2 M6
       ^^ error tool-change-in-state: radius compensation
`,
    },
    {
      title: 'the working plane is still tilted',
      program: `
N10 G68.2 X0. Y0. Z0. I0. J30. K0.
N20 G0 Z100.
N30 T2 M6
       ^^ error tool-change-in-state: the tilted working plane
`,
    },
  ],
  good: [{
    title: 'switched off first',
    program: `
N10 G43.4 H1 Z50.
N20 G49
N30 T2 M6
`,
  }],
  start: report => ({
    block({ block, before }) {
      const change = findCode(block, 'M', 6)
      if (change < 0) return
      const still: string[] = []
      if (before.toolCentre) still.push('tool-centre control')
      if (before.tiltedPlane !== undefined) still.push('the tilted working plane')
      if (before.radiusCompensation === 41 || before.radiusCompensation === 42) still.push(`radius compensation (G${before.radiusCompensation})`)
      if (still.length === 0) return
      report({ rule: 'tool-change-in-state', span: wordSpan(block, change), message: `The tool is changed while ${still.join(' and ')} ${still.length > 1 ? 'are' : 'is'} still on.` })
    },
  }),
  fix: place => {
    const { toolCentre, tiltedPlane, radiusCompensation } = place.before
    const codes = [radiusCompensation === 41 || radiusCompensation === 42 ? 'G40' : '', toolCentre ? 'G49' : '', tiltedPlane === undefined ? '' : 'G69']
      .filter(code => code !== '').join(' ')
    return codes === '' ? undefined : { title: `Switch it off with ${codes} above the tool change`, edits: [blockAbove(place, codes)], keepsMotion: false }
  },
})
