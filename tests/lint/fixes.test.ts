import { describe, expect, test } from 'vitest'
import type { Edit, Finding } from '../../shared/finding.ts'
import { allRules } from '../../server/engine/lint/all-rules.ts'
import type { RuleExample } from '../../server/engine/lint/rule.ts'
import { fixOf, safeEdits, viewProgram, type Fix } from '../../server/engine/editor-service.ts'
import { openScene, readProgram, sameBeginning } from '../../server/engine/service.ts'
import { runExample } from '../harness/check-example.ts'
import { readRemarks } from '../harness/expectations.ts'

// Every fix is made in every bad example of its rule, and the program is checked again: the finding is gone, nothing
// new has come, and where the fix says that it keeps the motion, the motions are the same, bit for bit.

type Case = Pick<RuleExample, 'title' | 'program' | 'setup' | 'machine' | 'meshes'>

const sheet = '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } } }'

/** Where the examples of the rules' pages are too small for a fix to be sure. */
const more: Readonly<Record<string, readonly Case[]>> = {
  'missing-speed': [{ title: 'S stands below', program: 'N10 M3\nN20 G1 X10. F200\nN30 X20. S8000\n' }],
  'missing-feed': [{ title: 'F0, and a feed below', program: 'N10 G1 X10. F0\nN20 X20. F300\n' }],
  'spindle-stopped': [{ title: 'left-handed before', program: 'N10 S500 M4\nN20 G1 X10. F200\nN30 M5\nN40 X20.\nN50 M30\n' }],
  'missing-work-offset': [{ title: 'a sheet with its base offset', setup: sheet, program: 'N10 G90 G0 X10. Y0.\nN20 Z5.\n' }],
  'feed-mode-leftover': [
    { title: 'blocks that have lost their F', setup: sheet, program: 'N5 G21 G90 G54 G0 X0. Y0. Z0.\nN10 G93\nN20 G1 X10. F50.\nN30 X15.\nN40 X35.\nN50 X36. F50.\n' },
    { title: 'a feed per minute was given before', program: 'N10 G94 G1 X10. F500\nN20 G93 X20. F50.\nN30 G94 X30.\n' },
  ],
  'missing-length-offset': [{ title: 'the H of the sheet', setup: '{ "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30, "lengthOffset": 7 }] }', program: 'N10 T1 M6\nN20 G0 Z5.\nN30 G1 Z-1. F200\n' }],
  'unclosed-comment': [{ title: 'blanks behind it', program: 'N10 G0 X0. (APPROACH  \r\nN20 Y5.\r\n' }],
  'waiver-unused': [{ title: 'in front of its block', program: '(ACCEPT missing-feed: PANEL) N10 G1 X10. F200\n' }],
  'missing-program-end': [{ title: 'no end of the last line', program: 'N10 G0 X0.' }],
  'missing-start-state': [{ title: 'below a comment that accepts', program: 'N10 G90 G94 G40 G49\n(ACCEPT missing-work-offset: SET BY HAND)\nN20 G0 X10. Y0.\n' }],
  'missing-decimal-point': [{
    title: 'a control that counts increments', setup: sheet.replace('{', '{ "machine": "example.machine.json",').replace(', "A": 0, "C": 0', ''), program: 'N10 G21 G90 G54 G1 X10.5 Y20. Z1. F200\nN20 X100 Y30.\nN30 X10. Y40.\n',
    machine: countedMachine(),
  }],
}

const rules = allRules.filter(rule => rule.fix !== undefined)

describe.each(rules)('the fix of $id', rule => {
  const cases: readonly Case[] = [...rule.bad, ...more[rule.id] ?? []]

  test.each(cases)('$title', example => {
    for (const finding of found(example, rule.id)) {
      const fix = fixIn(example, finding)
      if (fix !== undefined) holds(example, finding, fix)
    }
  })

  test('is offered in one of them', () => {
    expect(cases.some(example => found(example, rule.id).some(finding => fixIn(example, finding) !== undefined))).toBe(true)
  })
})

test('what is written, fix by fix', () => {
  const written = rules.flatMap(rule => [...rule.bad, ...more[rule.id] ?? []].flatMap(example => found(example, rule.id).flatMap(finding => {
    const fix = fixIn(example, finding)
    if (fix === undefined) return []
    const before = textOf(example).split(/\r?\n/), after = applied(textOf(example), fix.edits).split(/\r?\n/)
    const changed = after.filter(line => !before.includes(line)).map(line => `  ${line}`)
    return [`${rule.id}: ${fix.title}${fix.keepsMotion ? ' (keeps the motion)' : ''}${fix.oneByOne === true ? ' (one by one)' : ''}`, ...changed]
  })))
  expect(`\n${written.join('\n')}\n`).toMatchInlineSnapshot(`
    "
    coolant-off: Switch the coolant on with M8
      N60 X30. M8
    duplicate-sequence-number: Take the repeated number out (keeps the motion)
      G0 X20.
    feed-mode-leftover: Write F at the speed of the block before (1 block)
      N30 X20. F50.
    feed-mode-leftover: Write F at the speed of the block before (2 blocks)
      N30 X15. F100.
      N40 X35. F25.
    feed-mode-leftover: Write F500, the last feed under G94
      N30 G94 X30. F500
    length-offset-mismatch: Write H1, the length offset of T1
      N20 G0 G43 H1 Z5.
    length-offset-mismatch: Call G43 H2, the length offset of T2
      N40 G43 H2 G0 Z5.
    missing-decimal-point: Write X100. (keeps the motion)
      N20 X100. Y30.
    missing-decimal-point: Write X10., and the points of 3 more (keeps the motion)
      N10 G1 X10. Y20. F200
      N20 X100. Y30.
    missing-decimal-point: Write X0.1 (keeps the motion)
      N20 X0.1 Y30.
    missing-feed: Write F200, the next feed of the program
      N20 G1 X10. F200
    missing-feed: Write F300, the next feed of the program
      N10 G1 X10. F300
    missing-length-offset: Call G43 H1 with the first way along Z
      N20 G43 H1 G0 X0. Y0. Z5.
    missing-length-offset: Write H1, the length offset of T1
      N20 G43 H1 Z5.
    missing-length-offset: Call G43 H7 with the first way along Z
      N20 G43 H7 G0 Z5.
    missing-program-end: End the program with M30
      M30
    missing-program-end: End the program with M30
      M30
    missing-speed: Write S8000, the next speed of the program
      N20 G1 X10. F200 S8000
    missing-start-state: State G21 G17 above the first motion (keeps the motion) (one by one)
      G21 G17
    missing-start-state: State G21 G17 above the first motion (keeps the motion) (one by one)
      G21 G17
    missing-work-offset: Name G54, the base offset of the setup sheet (keeps the motion) (one by one)
      N10 G90 G54 G0 X10. Y0.
    overspeed: Write S24000, the highest speed of T1
      N20 S24000 M3
    repeated-word: Take the second X10. out (keeps the motion)
      N10 G1 X10. Y5. F200
    spindle-stopped: Switch the spindle on: M3 at S8000
      N40 X20. M3
    spindle-stopped: Switch the spindle on: M3 at S8000
      N40 G1 X20. M3
    spindle-stopped: Switch the spindle on: M4 at S500
      N40 X20. M4
    tool-change-in-state: Switch it off with G49 above the tool change
      G49
    tool-change-in-state: Switch it off with G40 above the tool change
      G40
    tool-change-in-state: Switch it off with G69 above the tool change
      G69
    unclosed-comment: Close the comment at the end of its line (keeps the motion) (one by one)
      N10 G0 X0. (APPROACH Y20.)
    unclosed-comment: Close the comment at the end of its line (keeps the motion) (one by one)
      N10 G0 X0. (APPROACH)  
    waiver-unused: Take the comment out (keeps the motion) (one by one)
      N10 G1 X10. F200
    waiver-unused: Take the comment out (keeps the motion) (one by one)
    waiver-unused: Take the comment out (keeps the motion) (one by one)
      N10 G1 X10. F200
    zero-length-block: Take the axis words out (keeps the motion)
      N20
    "
  `)
})

test('all that keeps the motion at once: the same motions, and what is left needs somebody', () => {
  const example = { title: '', setup: sheet, program: 'N10 G90 G94 G40 G49 (ACCEPT gouge: OLD)\nN20 G54 G0 X10 Y0. Z5.\nN20 G1 X10. X10. F200\nN30 X11.\nN40 X20 Y7.5\n(OPEN\nM30\n' }
  const { view, findings } = read(example)
  const text = applied(example.program, safeEdits(view, findings))
  expect(text.split('\n')).toEqual(['N10 G90 G94 G40 G49 (ACCEPT gouge: OLD)', 'N20 G54 G0 X10. Y0. Z5.', 'G1 F200', 'N30 X11.', 'N40 X20. Y7.5', '(OPEN', 'M30', ''])
  sameMotions(example, { ...example, program: text })
})

/** The finding is gone, and no rule has more to say than before. */
function holds(example: Case, finding: Finding, fix: Fix): void {
  const text = applied(textOf(example), fix.edits), mended = { ...example, program: text }
  const before = counts(runExample(example).findings), after = counts(runExample(mended).findings)
  expect(after.get(finding.rule) ?? 0, text).toBe((before.get(finding.rule) ?? 0) - 1)
  for (const [rule, count] of after) expect(count, `${rule} in\n${text}`).toBeLessThanOrEqual(before.get(rule) ?? 0)
  if (fix.keepsMotion) sameMotions(example, mended)
}

function sameMotions(before: Case, after: Case): void {
  const a = runExample(before).toolpath, b = runExample(after).toolpath
  expect(b.count).toBe(a.count)
  expect(a.count === 0 ? 0 : sameBeginning(a, b)).toBe(a.count)
  expect([...b.seconds]).toEqual([...a.seconds])
}

function counts(findings: readonly Finding[]): Map<string, number> {
  const counted = new Map<string, number>()
  for (const { rule } of findings) counted.set(rule, (counted.get(rule) ?? 0) + 1)
  return counted
}

function found(example: Case, rule: string): Finding[] {
  return runExample(example).findings.filter(one => one.rule === rule)
}

function fixIn(example: Case, finding: Finding): Fix | undefined {
  return fixOf(read(example).view, finding)
}

function read(example: Case) {
  const fileOf = (path: string, text: string | undefined) => text === undefined ? undefined : { path, text: readRemarks(text).program }
  const scene = openScene(fileOf('example.setup.json', example.setup), fileOf('example.machine.json', example.machine))
  const program = readProgram({ path: 'example.nc', text: textOf(example) }, scene)
  return { view: viewProgram(program, scene), findings: program.findings }
}

function textOf(example: Case): string {
  return readRemarks(example.program).program
}

function applied(text: string, edits: readonly Edit[]): string {
  return [...edits].sort((a, b) => b.span.start - a.span.start).reduce((rest, { span, text: by }) => rest.slice(0, span.start) + by + rest.slice(span.end), text)
}

/** Three axes and a control that counts whole numbers in micrometres. */
function countedMachine(): string {
  const axis = (direction: readonly number[]) => ({ kind: 'linear', direction, range: [-500, 500] })
  return JSON.stringify({
    name: 'three axes', axes: { X: axis([1, 0, 0]), Y: axis([0, 1, 0]), Z: axis([0, 0, 1]) }, table: [], head: ['X', 'Y', 'Z'], home: { X: 0, Y: 0, Z: 400 },
    spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] }, control: { wholeNumber: { increments: 0.001 } },
  })
}
