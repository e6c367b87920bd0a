import { describe, expect, test } from 'vitest'
import type { Edit } from '../../shared/finding.ts'
import { limitChange, limitsOf, viewProgram } from '../../server/engine/editor-service.ts'
import { allRules } from '../../server/engine/lint/all-rules.ts'
import type { RuleExample } from '../../server/engine/lint/rule.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'
import { runExample } from '../harness/check-example.ts'
import { readRemarks } from '../harness/expectations.ts'

// Each limit is set in each bad example of the rules about limits, and the example is checked again: the finding is gone,
// and nothing new has come.

const rules = allRules.filter(({ id }) => ['gouge', 'neck-clearance', 'shank-clearance', 'holder-clearance', 'head-clearance', 'fixture-clearance', 'rapid-clearance', 'rotation-near-part', 'leftover', 'scallop'].includes(id))

/** The findings of a rule in an example, each with the sheet in which its limit is set. */
function changes(example: RuleExample, rule: string) {
  const sheet = readRemarks(example.setup ?? '').program, machine = example.machine === undefined ? undefined : { path: 'example.machine.json', text: readRemarks(example.machine).program }
  const scene = openScene({ path: 'example.setup.json', text: sheet }, machine), program = readProgram({ path: 'example.nc', text: readRemarks(example.program).program }, scene)
  const view = viewProgram(program, scene), before = runExample(example).findings
  return before.filter(finding => finding.rule === rule).map(finding => {
    const change = limitChange(finding, view, limitsOf(program, view), sheet)
    return { finding, before, title: change?.title, sheet: change === undefined ? undefined : applied(sheet, change.edits) }
  })
}

describe.each(rules)('the limit of $id', ({ id, bad }) => {
  test.each(bad)('$title', example => {
    for (const { finding, before, sheet } of changes(example, id)) {
      if (sheet === undefined) continue
      const after = runExample({ ...example, setup: sheet }).findings, at = (one: typeof finding) => `${one.rule} ${one.file ?? ''} ${one.file === undefined ? one.span.start : ''}`
      expect(after.filter(one => at(one) === at(finding))).toEqual([])
      expect(after.filter(one => !before.some(known => at(known) === at(one))).map(({ message }) => message)).toEqual([])
    }
  })

  test('is offered in one of them', () => {
    expect(bad.some(example => changes(example, id).some(({ title }) => title !== undefined))).toBe(true)
  })
})

describe('where the limit is written', () => {
  const gouge = allRules.find(({ id }) => id === 'gouge')?.bad[0]

  test.each<[string, (sheet: string) => string, RegExp]>([
    ['where it stands, with what stands about it', sheet => sheet.replace('{', '{ // the plate\n  "limits": { "gouge": 0.01 /* finish */, "stockToLeave": 0 },'), /\/\/ the plate\n {2}"limits": \{ "gouge": 0\.\d+ \/\* finish \*\/, "stockToLeave": 0 \}/],
    ['into limits that do not state it', sheet => sheet.replace('{', '{\n  "limits": { "axisStep": 5 },'), /"limits": \{ "axisStep": 5,\s+"gouge": 0\.\d+\s+\}/],
    ['into a sheet without limits', sheet => sheet, /"limits": \{ "gouge": 0\.\d+ \}/],
    ['into the pass that sets it', sheet => sheet.replace('{', '{\n  "limits": { "gouge": 0.5 }, "passes": [{ "limits": { "gouge": 0.01 } }],'), /"limits": \{ "gouge": 0\.5 \}, "passes": \[\{ "limits": \{ "gouge": 0\.\d+ \} \}\]/],
  ])('%s', (_what, change, wanted) => {
    if (gouge === undefined) throw new Error('the rule has no example')
    const without = readRemarks(gouge.setup ?? '').program.replace(/ *"limits": \{[^}]*(\{[^}]*\})?[^}]*\},?\n/, '')
    const [found] = changes({ ...gouge, setup: change(without) }, 'gouge')
    expect(found?.sheet).toMatch(wanted)
    expect(found?.title).toMatch(/^Set (passes\.0\.)?limits\.gouge to 0\.\d+ mm in the setup sheet \(allows this; every motion stays\)$/)
  })
})

function applied(text: string, edits: readonly Edit[]): string {
  return edits.toReversed().reduce((now, { span, text: by }) => now.slice(0, span.start) + by + now.slice(span.end), text)
}
