import { describe, expect, test } from 'vitest'
import type { ContactProperties, Finding } from '../../shared/finding.ts'
import { applyWaivers, readWaivers } from '../../server/engine/lint/waivers.ts'

const contact: ContactProperties = {
  component: 'cutter', against: 'part', depth: 0.02, bound: 0.001, allowed: 0.01, point: [0, 0, 0], toolPoint: [0, 0, 0], toolAxis: [0, 0, 1],
  firstLine: 2, lastLine: 2, worstLine: 2, blocks: 1,
}

function gouge(text: string, figures: Partial<ContactProperties>): Finding {
  const start = text.indexOf('G1')
  return { rule: 'gouge', level: 'error', message: 'too deep', span: { start, end: start + 2 }, contact: { ...contact, ...figures } }
}

const rulesOf = (findings: readonly Finding[]) => findings.map(({ rule, waiver }) => waiver === undefined ? rule : `${rule} accepted`)

describe('a waiver that names a figure', () => {
  const text = '(ACCEPT gouge 0.02: BLEND AREA, DRAWING NOTE 4)\nN10 G1 Z-.02 F200\n'

  test('covers a penetration of that depth', () => {
    const [finding] = applyWaivers([gouge(text, { depth: 0.02 })], text)
    expect(finding.waiver?.reason).toBe('BLEND AREA, DRAWING NOTE 4')
  })

  test('covers what rounds to it with three decimals', () => {
    expect(rulesOf(applyWaivers([gouge(text, { depth: 0.02049 })], text))).toEqual(['gouge accepted'])
  })

  test('does not cover a deeper one, and says how far it went', () => {
    const [finding, ...rest] = applyWaivers([gouge(text, { depth: 0.021 })], text)
    expect(finding.waiver).toBeUndefined()
    expect(finding.related?.[0].message).toBe('Accepted here to 0.02 mm only.')
    expect(rest).toEqual([])
  })

  test('holds a clearance from below', () => {
    const accepted = text.replace('gouge 0.02', 'holder-clearance 0.4')
    const near = (clearance: number): Finding => ({ ...gouge(accepted, { depth: undefined, clearance }), rule: 'holder-clearance' })
    expect(rulesOf(applyWaivers([near(0.45)], accepted))).toEqual(['holder-clearance accepted'])
    expect(rulesOf(applyWaivers([near(0.38)], accepted))).toEqual(['holder-clearance'])
  })

  test('may be in inches', () => {
    const inch = text.replace('0.02', '.001 inch')
    expect(rulesOf(applyWaivers([gouge(inch, { depth: 0.025 })], inch))).toEqual(['gouge accepted'])
    expect(rulesOf(applyWaivers([gouge(inch, { depth: 0.027 })], inch))).toEqual(['gouge'])
  })
})

test('without a figure any depth is covered', () => {
  const text = 'N10 G1 Z-.5 F200 ; ACCEPT gouge: ENGRAVED MARK'
  expect(rulesOf(applyWaivers([gouge(text, { depth: 0.5 })], text))).toEqual(['gouge accepted'])
})

test('applied to its own result, nothing changes', () => {
  const text = '(ACCEPT gouge 0.02: BLEND)\nN10 G1 Z-.03\n(ACCEPT gouge)\nN20 G0 Z5.\n(ACCEPT missing-feed: NONE)\n'
  const once = applyWaivers([gouge(text, { depth: 0.03 })], text)
  expect(rulesOf(once)).toEqual(['gouge', 'waiver-without-reason', 'waiver-unused'])
  expect(applyWaivers(once, text)).toEqual(once)
})

test('a rule that has had no chance to report leaves its waivers alone', () => {
  const text = '(ACCEPT gouge: BLEND)\nN10 G1 Z-.03\n'
  expect(applyWaivers([], text, rule => rule !== 'gouge')).toEqual([])
  expect(rulesOf(applyWaivers([], text))).toEqual(['waiver-unused'])
})

test('a finding in another file is not covered', () => {
  const text = 'G1 X10. (ACCEPT gouge: BLEND)'
  const other = { ...gouge(text, {}), file: 'other.setup.json' }
  expect(rulesOf(applyWaivers([other], text))).toEqual(['waiver-unused', 'gouge'])
})

test('a level the user has set holds for waivers too', () => {
  const [finding] = applyWaivers([], 'G1 X10. (ACCEPT gouge: BLEND)', () => true, { 'waiver-unused': 'note' })
  expect(finding.level).toBe('note')
})

test('line ends of every kind', () => {
  for (const end of ['\n', '\r\n', '\r']) {
    const text = ['G0 Z5.', '(ACCEPT gouge: BLEND)', 'G1 Z-.03', 'M30'].join(end)
    expect(rulesOf(applyWaivers([gouge(text, {})], text))).toEqual(['gouge accepted'])
  }
})

test('several on one line, and one in a comment that is not closed', () => {
  const text = 'G1 X1. (ACCEPT gouge: A) (ACCEPT missing-feed: B) (ACCEPT overspeed: C'
  expect(readWaivers(text).map(({ rule, reason }) => [rule, reason])).toEqual([['gouge', 'A'], ['missing-feed', 'B'], ['overspeed', 'C']])
})

test('a text of one endless line is read in a moment', () => {
  const text = `${'X1.'.repeat(3_000_000)}(ACCEPT gouge: BLEND)`
  const start = performance.now()
  expect(readWaivers(text)).toHaveLength(1)
  expect(performance.now() - start).toBeLessThan(2000)
})
