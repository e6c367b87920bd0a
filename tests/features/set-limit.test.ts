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

const rules = allRules.filter(({ id }) => ['gouge', 'neck-clearance', 'shank-clearance', 'holder-clearance', 'head-clearance', 'fixture-clearance', 'rapid-clearance', 'rotation-near-part', 'leftover', 'scallop', 'rotary-swing', 'axis-off-point'].includes(id))

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

describe('limits of the tool axis', () => {
  const [swing, miss] = ['rotary-swing', 'axis-off-point'].map(name => allRules.find(({ id }) => id === name)?.bad[0])
  const titles = (example: RuleExample | undefined, rule: string, change: (setup: string) => string = setup => setup) => {
    if (example === undefined) throw new Error(`${rule} has no example`)
    return changes({ ...example, setup: change(example.setup ?? '') }, rule).map(({ title, sheet }) => ({ title, sheet }))
  }

  test('an angle is written in degrees: from A11. to A42. the axis turns by 31', () => {
    expect(titles(swing, 'rotary-swing')).toEqual([{ title: 'Set limits.axisStep to 31° in the setup sheet (allows this; every motion stays)', sheet: expect.stringMatching(/"axisStep": 31 / ) as string }])
  })

  test('in the pass that states it', () => {
    const [found] = titles(swing, 'rotary-swing', setup => setup.replace('"limits"', '"passes": [{ "tools": [1], "limits": { "axisStep": 3 } }],\n  "limits"'))
    expect(found).toMatchObject({ title: expect.stringMatching(/^Set passes\.0\.limits\.axisStep to 31° /) as string, sheet: expect.stringMatching(/"passes": \[\{ "tools": \[1\], "limits": \{ "axisStep": 31 \} \}\],\n {2}"limits": \{ "axisStep": 5 \}/) as string })
  })

  test('how near the axis must pass its point: 50 mm away and turned by 3 degrees it misses by 50 sin 3° = 2.617', () => {
    expect(titles(miss, 'axis-off-point')).toEqual([{ title: 'Set passes.0.axisThrough.within to 2.617 mm in the setup sheet (allows this; every motion stays)', sheet: expect.stringContaining('"within": 2.617 }') as string }])
  })

  test('not where the blocks of one finding have it from different places', () => {
    const example = swing === undefined ? undefined : { ...swing, program: swing.program.replace(/N50 X3. A42.5/, 'N50 X3. A20.') }
    expect(titles(example, 'rotary-swing', setup => setup.replace('"limits"', '"passes": [{ "from": "N50", "limits": { "axisStep": 3 } }],\n  "limits"'))).toEqual([{ title: undefined, sheet: undefined }])
  })
})

function applied(text: string, edits: readonly Edit[]): string {
  return edits.toReversed().reduce((now, { span, text: by }) => now.slice(0, span.start) + by + now.slice(span.end), text)
}
