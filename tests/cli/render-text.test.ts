import { expect, test } from 'vitest'
import { renderText } from '../../server/cli/render-text.ts'
import type { Finding } from '../../shared/finding.ts'
import { linesOf } from '../../server/cli/text-lines.ts'
import { checkResult, contact, expectFile, program, report, spanOf } from './hand-made.ts'

const text = `%
N10 G21 G90 G17 G94
N20 G1 X10. Y0. Z5.
(ACCEPT holder-clearance: CORK PAD ONLY, 2026-03)
N30 X12.5 F800
N40 X13.
N50 X14. Y2.
N60 M30
%
`

const findings: readonly Finding[] = [
  { rule: 'short-block', level: 'note', message: 'This block takes 0.2 ms.', span: spanOf(text, 'N40 X13.') },
  { rule: 'missing-feed', level: 'error', message: 'G1 moves in cut, but no F word has set a feed rate yet.', span: spanOf(text, 'G1', 2) },
  {
    rule: 'gouge', level: 'error', message: 'The cutter of tool 3 cuts 0.012 mm below the part; 0.010 mm is allowed.',
    span: spanOf(text, 'X13.'), contact: contact({ depth: 0.012, worstLine: 6 }), open: true,
  },
  {
    rule: 'gouge', level: 'error', message: 'The cutter of tool 3 cuts 0.031 mm below the part; 0.010 mm is allowed.',
    span: spanOf(text, 'X14. Y2.'), contact: contact({ depth: 0.031, firstLine: 5, lastLine: 7, worstLine: 7, blocks: 3 }),
    related: [{ file: '/job/program.setup.json', span: { start: 2, end: 9 }, message: 'the limit' }],
  },
  {
    rule: 'holder-clearance', level: 'warning', message: 'The holder of tool 3 is 0.4 mm from the part; 1 mm is asked.',
    span: spanOf(text, 'X12.5'), contact: contact({ component: 'holder', clearance: 0.4, allowed: 1, worstLine: 5 }),
    waiver: { reason: 'CORK PAD ONLY, 2026-03', span: spanOf(text, '(ACCEPT holder-clearance: CORK PAD ONLY, 2026-03)') },
  },
]

test('findings with frames, worst first, then what was and was not checked', () => {
  const result = checkResult(text, findings, {
    tools: [{ number: 3, worst: { cutter: { value: -0.031, bound: 0.001, line: 7 }, holder: { value: 0.4, bound: 0.002, line: 5 } } }],
  })
  const textOf = () => linesOf('{ "gouge": 0.01 }')
  expectFile('findings.txt', renderText(report([program(text, findings, { result })], { textOf }), false))
})

test('no findings, no part: the text says what that does not mean', () => {
  expectFile('nothing-found.txt', renderText(report([program(text, [])], { exitCode: 0 }), false))
})

test('a program that could not be read beside one that could, and rules left out by the call', () => {
  const failed: Finding = { rule: 'not-checked', level: 'error', message: 'gone.nc is not there.', span: { start: 0, end: 0 } }
  const gone = program('', [failed], { name: 'gone.nc', path: '/job/gone.nc', result: undefined, inputs: [] })
  const partly = program(text, [], { leftOut: new Map([['short-block', 2], ['gouge', 1]]) })
  expectFile('left-out.txt', renderText(report([gone, partly], { only: ['missing-feed'], blocks: 'N10..N20', exitCode: 2 }), false))
})

test('colour changes nothing but colour', () => {
  const plain = renderText(report([program(text, findings)]), false)
  const coloured = renderText(report([program(text, findings)]), true)
  expect(coloured).not.toBe(plain)
  expect(coloured.replace(/\u001b\[[\d;]*m/g, '')).toBe(plain)
})

test('the text does not depend on the order in which findings were made', () => {
  const forward = renderText(report([program(text, findings)]), false)
  expect(renderText(report([program(text, [...findings].reverse())]), false)).toBe(forward)
})

test('of a rule found very often, later findings take two lines each and none is dropped', () => {
  const many = Array.from({ length: 45 }, () => 'N1 X1\n').join('')
  const often = Array.from({ length: 45 }, (_, i): Finding => ({
    rule: 'short-block', level: 'note', message: `Block ${i}.`, span: { start: i * 6, end: i * 6 + 5 },
  }))
  const shown = renderText(report([program(many, often)]), false)
  expect(shown.match(/^NOTE short-block {2}program\.nc:\d+:1$/gm)?.length).toBe(45)
  expect(shown.match(/\^/g)?.length).toBe(20 * 5)
})
