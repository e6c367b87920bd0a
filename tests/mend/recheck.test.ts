import { describe, expect, test } from 'vitest'
import type { Finding } from '../../shared/finding.ts'
import { LineMap, worseFindings } from '../../server/engine/service.ts'
import { head, Job, sheetOfMesh } from './job.ts'

// What counts as worse after a mend, besides contact of the tool with the part: bodies of the machine, rates, what is left.

const program = `${head('X-30. Y0. Z40. A3. C0.')}N80 G1 Z2. F500\nN90 X0.\nN100 X-30.\nN110 Z40.\nN120 M30\n%\n`
const wish = {
  program,
  tool: { cutter: { shape: 'ball', DC: 3, LCF: 6 }, neck: { DN: 2.8, LU: 20 }, shank: { DCONMS: 8 }, LPR: 60, holder: [{ diameter: 8, length: 20 }], point: 'centre' },
  limits: { gouge: 0.01, clearance: { shank: 0.15, neck: 0.05, holder: 0.1 } },
  mesh: sheetOfMesh([0, 2.2, 60], [5, 0, 0], [0, 0, 60]),
}

test('a lean that would bring the holder into a body of the machine is taken back', () => {
  // The tool leans by 3° and has to lean by acos((2.2 − 0.15)/√(4² + 18.5²)) − atan(18.5/4) = 6.0° at the least: its holder's top, 80 mm up, then stands
  // 80 sin 6° + 4 = 12.4 mm behind the wall's line, and the arm 9.8 mm.
  const arm = { name: 'arm', on: 'C', corners: sheetOfMesh([0, -9.8, -380 + 70], [10, 0, 0], [0, 0, 15]) }
  const free = new Job(wish).mend()
  expect(free.mended.flatMap(({ attempt }) => attempt.steps.map(({ step }) => step.by))).toEqual(['lean'])
  const beside = new Job({ ...wish, bodies: [arm] }), answer = beside.mend()
  expect(beside.findings(program).some(({ contact }) => contact?.against === 'machine:arm')).toBe(false)
  expect(beside.findings(free.text).some(({ contact }) => contact?.against === 'machine:arm')).toBe(true)
  expect(answer.text).toBe(program)
  expect(answer.refused.flatMap(({ why }) => why).join('; ')).toMatch(/lean: machine-contact: .*"?arm/)
})

describe('findings after a mend against those before it', () => {
  const text = 'N10 G1 X1.\nN20 X2.\nN30 X3.\nN40 X4.\n', before = new Job(wish).read(text), after = new Job(wish).read(text)
  const lines = new LineMap(before, after, [])
  const at = (line: number, more: Partial<Finding>): Finding => ({ rule: 'axis-rate', level: 'warning', message: 'words', span: { start: before.lineStarts[line - 1], end: before.lineStarts[line] - 1 }, ...more })
  const rate = (line: number, first: number, last: number, figure: number) => at(line, { extent: { firstLine: first, lastLine: last, figure } })
  const left = (line: number, point: readonly [number, number, number], height: number, area: number) => at(line, { rule: 'leftover', result: { point, height, bound: 0.001, area, allowed: 0.05 } })
  const unreached = (line: number, area: number) => at(line, { rule: 'undercut-unreached', level: 'note', result: { point: [0, 0, 0], area, allowed: 0.05 } })
  const worse = (old: readonly Finding[], now: readonly Finding[]) => worseFindings({ program: before, findings: old }, { program: after, findings: now }, lines).map(({ line }) => line)

  test.each<[string, readonly Finding[], readonly Finding[], readonly (number | undefined)[]]>([
    ['the same finding', [rate(2, 2, 2, 1.5)], [rate(2, 2, 2, 1.5)], []],
    ['none any more', [rate(2, 2, 2, 1.5)], [], []],
    ['a new one', [], [rate(2, 2, 2, 1.5)], [1]],
    ['of another rule in the same block', [rate(2, 2, 2, 1.5)], [rate(2, 2, 2, 1.5), at(2, { rule: 'travel-limit', level: 'error' })], [1]],
    ['a higher rate in the same block', [rate(2, 2, 2, 1.5)], [rate(2, 2, 2, 1.6)], [1]],
    ['what is left of a run, its worst block mended', [rate(2, 1, 4, 1.5)], [rate(3, 3, 4, 1.4)], []],
    ['a block of a run that has become worse than the worst was', [rate(2, 1, 4, 1.5)], [rate(3, 3, 4, 1.7)], [2]],
    ['a graver level', [at(2, {})], [at(2, { level: 'error' })], [1]],
    ['a note', [], [at(2, { level: 'note' })], []],
    ['as much left standing, told for another block', [left(1, [5, 0, 0], 0.3, 10)], [left(2, [5.5, 0, 0], 0.3, 9)], []],
    ['more left standing', [left(1, [5, 0, 0], 0.3, 10)], [left(1, [5, 0, 0], 0.31, 10)], [0]],
    ['left standing over more of the part', [left(1, [5, 0, 0], 0.3, 10)], [left(1, [5, 0, 0], 0.3, 11)], [0]],
    ['more left that no pass comes near', [unreached(1, 100)], [unreached(1, 104)], [0]],
    ['left standing elsewhere', [left(1, [5, 0, 0], 0.3, 10)], [left(1, [5, 0, 0], 0.3, 10), left(3, [50, 0, 0], 0.2, 1)], [2]],
  ])('%s', (_, old, now, expected) => {
    expect(worse(old, now)).toEqual(expected)
  })
})

test('what stood there before, no lower and over less of the part, is told as such', () => {
  const read = new Job(wish).read('N10 G1 X1.\n'), lines = new LineMap(read, read, [])
  const left = (height: number, area: number, rule = 'scallop'): Finding => ({ rule, level: 'warning', message: 'words', span: { start: 0, end: 3 }, result: { point: [0, 0, 0], height, bound: 0.001, area, allowed: 0.05 } })
  const isWider = (old: Finding, now: Finding) => worseFindings({ program: read, findings: [old] }, { program: read, findings: [now] }, lines).map(each => each.isWider)
  expect(isWider(left(0.2, 10), left(0.2, 12))).toEqual([true])
  expect(isWider(left(0.2, 10), left(0.21, 12))).toEqual([false])
  expect(isWider(left(0.2, 10, 'undercut-unreached'), left(0.2, 12, 'undercut-unreached'))).toEqual([false])
})
