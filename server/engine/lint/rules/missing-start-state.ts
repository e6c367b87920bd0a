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
        const missing: string[] = []
        if (after.unit === undefined) missing.push('units (G21 or G20)')
        if (after.plane === undefined) missing.push('plane (G17)')
        if (after.distance === undefined) missing.push('distance mode (G90)')
        if (after.feedMode === undefined) missing.push('feed mode (G94)')
        if (after.radiusCompensation === undefined) missing.push('radius compensation off (G40)')
        if (after.lengthCompensation === undefined && !after.toolCentre) missing.push('length compensation off (G49)')
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
})
