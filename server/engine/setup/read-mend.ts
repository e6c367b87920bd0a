import { components, type Component } from '../../../shared/finding.ts'
import { corrections, type Correction, type MendStep } from '../../../shared/setup.ts'
import type { Fields } from './fields.ts'
import { sheetKeys } from './keys.ts'

/** Which corrections take which keys: what is written and would do nothing is said. */
const takes: Readonly<Record<Correction, readonly string[]>> = {
  'back-off': ['components', 'allow', 'clearance'], lift: ['components', 'allow', 'clearance'], lean: ['components', 'clearance'],
  'end-at': ['barrier', 'allow'], aim: ['point'], reach: ['clearance'], ease: [],
}

/** The plan of a pass: its corrections in the order in which they are made. `barriers`: names that the sheet gives. */
export function readMend(pass: Fields, barriers: readonly string[]): MendStep[] {
  return pass.objects('mend', i => `step ${i + 1} of the mend of ${pass.name}`, sheetKeys.mendStep).flatMap(fields => {
    const by = fields.choice('by', corrections, { need: 'the correction, for example "by": "back-off"' })
    if (by === undefined) return []
    for (const key of fields.keys) {
      if (key !== 'by' && !takes[by].includes(key)) fields.notes.say(fields.keySpanOf(key), `"${key}" says nothing to "${by}"${takes[by].length === 0 ? '' : `; it takes ${takes[by].map(each => `"${each}"`).join(', ')}`}.`)
    }
    const barrier = fields.text('barrier')
    if (barrier !== undefined && !barriers.includes(barrier)) fields.notes.say(fields.spanOf('barrier'), `${fields.name} ends the path at "${barrier}", which the sheet does not give among its barriers.`)
    const step: MendStep = {
      by, components: readComponents(fields), allow: fields.length('allow', { min: 0 }), clearance: fields.length('clearance', { min: 0 }),
      barrier, point: fields.triple('point', fields.notes.unit), span: fields.node.span,
    }
    return [step]
  })
}

function readComponents(fields: Fields): Component[] | undefined {
  return fields.list('components', 'names of components')?.flatMap(item => fields.choiceIn('components', item, components) ?? [])
}
