import type { ModalState } from '../../machine/modal-state.ts'
import { blockAbove } from '../fix-text.ts'
import { motionSpan } from '../motion-words.ts'
import { defineRule } from '../rule.ts'

export const missingStartState = defineRule({
  id: 'missing-start-state',
  level: 'warning',
  group: 'state',
  docs: {
    what: 'Units, plane, distance mode, feed mode or a cancel (G40, G49) is not stated before the first motion.',
    why: 'The control starts with what the program before it left on, or with its own defaults: the same text then runs differently on another day.',
    instead: 'State G21 (or G20), G17, G90, G94, G40 and G49 in the first lines.',
  },
  bad: [{
    title: 'no plane and no units',
    program: `
N10 G90 G94 G40 G49
N20 G54 G0 X10. Y0.
        ^^ warning missing-start-state: units (G21 or G20) and plane (G17)
N30 Z5.
`,
  }],
  good: [{
    title: 'a full start line',
    program: `
N10 G21 G17 G90 G94 G40 G49 G80
N20 G54 G0 X10. Y0.
`,
  }],
  start: report => {
    const memory = { done: false }
    return {
      memory,
      block({ block, after, firstMotion, endMotion }) {
        if (memory.done || endMotion === firstMotion) return
        memory.done = true
        const missing = missingIn(after).map(({ words, code }) => `${words} (${code === 'G21' ? 'G21 or G20' : code})`)
        if (missing.length === 0) return
        const last = missing.pop() ?? ''
        const list = missing.length === 0 ? last : `${missing.join(', ')} and ${last}`
        report({
          rule: 'missing-start-state', span: motionSpan(block),
          message: `The first motion comes before the program has stated ${list}.`,
        })
      },
    }
  },
  // What the check has taken for granted is written down; so nothing it has read changes.
  fix: place => {
    const { after, setup } = place
    const codes = missingIn(after).map(({ code }) => code === 'G21' && setup?.unit === 25.4 ? 'G20' : code).join(' ')
    if (codes === '') return undefined
    // It keeps the motion as it was read here. A control that was left in another mode runs another way from now on: for somebody to decide.
    return { title: `State ${codes} above the first motion`, edits: [blockAbove(place, codes)], keepsMotion: true, oneByOne: true }
  },
})

function missingIn(state: Readonly<ModalState>): { readonly words: string, readonly code: string }[] {
  return [
    { words: 'units', code: 'G21', isStated: state.unit !== undefined },
    { words: 'plane', code: 'G17', isStated: state.plane !== undefined },
    { words: 'distance mode', code: 'G90', isStated: state.distance !== undefined },
    { words: 'feed mode', code: 'G94', isStated: state.feedMode !== undefined },
    { words: 'radius compensation off', code: 'G40', isStated: state.radiusCompensation !== undefined },
    { words: 'length compensation off', code: 'G49', isStated: state.lengthCompensation !== undefined || state.toolCentre },
  ].filter(({ isStated }) => !isStated)
}
