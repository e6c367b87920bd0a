import { boundText } from '../../../shared/bound-text.ts'
import type { Limits } from '../../../shared/setup.ts'
import { notLookedAt } from '../../engine/service.ts'
import { count, length } from '../closing-words.ts'
import { list, paragraph, section, table, type Html } from './html.ts'
import { passWords } from './pass-words.ts'
import type { RecordInput } from './record-input.ts'

/** What was checked and with which bound, against which limits, and what was not. */
export function checkedSection(input: RecordInput): Html {
  const { setup } = input.outcome.scene
  return section('checked', 'What was checked', [
    list(looked(input)),
    '<h3>What was not checked</h3>',
    list(notLooked(input)),
    ...setup === undefined || !input.outcome.result.motionChecked ? [] : [
      '<h3>Limits</h3>',
      table('Limits of the setup sheet', ['Limit', 'Value'], limitRows(setup.limits, input.outcome.result.surface !== undefined)),
      ...setup.passes.length === 0 ? [] : [paragraph('In passes, what follows holds besides or instead; where several hold, the later one counts:'), list(setup.passes.map(passWords))],
    ],
  ])
}

function looked({ outcome: { result, scene, mesh, obstacles }, epsilon }: RecordInput): string[] {
  const said = [`Text and state of every block, in the order of execution: ${count(result.blocks, 'block')}.`]
  if (result.motionChecked) said.push(`Motion on the machine "${scene.machine.name}": ${count(result.motions, 'motion')}, each joint's travel and rate from end to end.`)
  if (mesh !== undefined) {
    const worst = mesh.chordErrors.reduce((most, error) => Math.max(most, error), 0)
    said.push(
      `Contact with the part: each motion from end to end against all ${count(mesh.triangleCount, 'facet')} of its mesh. Each figure is proven within ± ${boundText(epsilon / 2)} mm of the distance to the facets, unless it says another bound.`,
      `The mesh itself: its facets stand up to ${worst < 0.001 ? 'less than 0.001' : `about ${length(worst)}`} mm off the smooth surface they are for (an estimate from the angles between them). This comes on top of every figure.`,
    )
    const others = [...obstacles].map(({ kind, index }) => kind === 'fixture' ? scene.setup?.fixtures[index]?.name : kind === 'barrier' ? scene.setup?.barriers[index]?.name : kind === 'body' ? scene.machine.bodies?.[index]?.name : undefined)
    const names = others.filter(name => name !== undefined)
    if (names.length > 0) said.push(`Contact with ${names.map(name => `"${name}"`).join(', ')}.`)
  }
  if (result.stock !== undefined) {
    const { pitch, bound } = result.stock
    said.push(`The stock as it is cut, in the order of the blocks: rapids, neck, shank and holder against rays ${Number(pitch.toPrecision(3))} mm apart. Material between them may reach ${length(bound)} mm farther.`)
  }
  return said
}

function notLooked({ outcome: { result, scene, mesh }, program: { findings } }: RecordInput): string[] {
  const said: string[] = []
  if (!result.motionChecked) said.push('Motion and contact: no setup sheet could be used.')
  else if (mesh === undefined) said.push('Contact with the part: no mesh of it could be used.')
  for (const { message } of findings.filter(({ rule }) => rule === 'not-checked')) said.push(message)
  if (mesh !== undefined && scene.setup?.fixtures.length === 0) said.push('Fixtures: the sheet names none.')
  if (mesh !== undefined && (scene.machine.bodies?.length ?? 0) === 0) said.push('Bodies of the machine: the machine file names none.')
  if (result.motionChecked && result.stock === undefined) said.push('Stock: none was followed, so cuts in full material and rapids through it were not looked for.')
  return [...new Set(said), notLookedAt({ isStockFollowed: result.stock !== undefined, isResultMeasured: result.surface !== undefined }).join(' ')]
}

function limitRows({ gouge, stockToLeave, clearance, leftover, axisStep }: Limits, isResultMeasured: boolean): string[][] {
  return [
    ['Deepest cut below the part\'s surface', `${length(gouge)} mm`],
    ['Stock to leave', `${length(stockToLeave)} mm`],
    ...Object.entries(clearance).map(([name, value]) => [name === 'rapid' ? 'Clearance at rapid' : `Clearance of the ${name}`, `${length(value)} mm`]),
    ['Tallest material left standing', isResultMeasured ? `${length(leftover)} mm` : 'not measured'],
    ['Largest turn of the tool axis in one cutting block', `${Number((axisStep * 180 / Math.PI).toFixed(3))}°`],
  ]
}
