import { describe, expect, test } from 'vitest'
import type { ContactProperties, Finding } from '../../shared/finding.ts'
import type { LevelSettings } from '../../server/engine/lint/level-findings.ts'
import { mentionsAfter, waiverMentions } from '../../server/engine/lint/waiver-mentions.ts'
import { applyWaivers, readWaivers } from '../../server/engine/lint/waivers.ts'
import { changeBetween } from '../../server/engine/nc/text-change.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

const contact: ContactProperties = {
  component: 'cutter', against: 'part', depth: 0.02, bound: 0.001, allowed: 0.01, point: [0, 0, 0], toolPoint: [0, 0, 0], toolAxis: [0, 0, 1],
  firstLine: 2, lastLine: 2, worstLine: 2, blocks: 1,
}

function gouge(text: string, figures: Partial<ContactProperties>): Finding {
  const start = text.indexOf('G1')
  return { rule: 'gouge', level: 'error', message: 'too deep', span: { start, end: start + 2 }, contact: { ...contact, ...figures } }
}

/** The findings under the comments of the text. */
const underWaivers = (findings: readonly Finding[], text: string, ...rest: [decided?: (rule: string) => boolean, levels?: LevelSettings]) =>
  applyWaivers(findings, readWaivers(text), ...rest)

const rulesOf = (findings: readonly Finding[]) => findings.map(({ rule, waiver }) => waiver === undefined ? rule : `${rule} accepted`)

describe('a waiver that names a figure', () => {
  const text = '(ACCEPT gouge 0.02: BLEND AREA, DRAWING NOTE 4)\nN10 G1 Z-.02 F200\n'

  test('covers a penetration of that depth', () => {
    const [finding] = underWaivers([gouge(text, { depth: 0.02 })], text)
    expect(finding.waiver?.reason).toBe('BLEND AREA, DRAWING NOTE 4')
  })

  test('covers what rounds to it with three decimals', () => {
    expect(rulesOf(underWaivers([gouge(text, { depth: 0.02049 })], text))).toEqual(['gouge accepted'])
  })

  test('does not cover a deeper one, and says how far it went', () => {
    const [finding, ...rest] = underWaivers([gouge(text, { depth: 0.021 })], text)
    expect(finding.waiver).toBeUndefined()
    expect(finding.related?.[0].message).toBe('Accepted here to 0.02 mm only.')
    expect(rest).toEqual([])
  })

  test('holds a clearance from below', () => {
    const accepted = text.replace('gouge 0.02', 'holder-clearance 0.4')
    const near = (clearance: number): Finding => ({ ...gouge(accepted, { depth: undefined, clearance }), rule: 'holder-clearance' })
    expect(rulesOf(underWaivers([near(0.45)], accepted))).toEqual(['holder-clearance accepted'])
    expect(rulesOf(underWaivers([near(0.38)], accepted))).toEqual(['holder-clearance'])
  })

  test('may be in inches', () => {
    const inch = text.replace('0.02', '.001 inch')
    expect(rulesOf(underWaivers([gouge(inch, { depth: 0.025 })], inch))).toEqual(['gouge accepted'])
    expect(rulesOf(underWaivers([gouge(inch, { depth: 0.027 })], inch))).toEqual(['gouge'])
  })
})

test('without a figure any depth is covered', () => {
  const text = 'N10 G1 Z-.5 F200 ; ACCEPT gouge: ENGRAVED MARK'
  expect(rulesOf(underWaivers([gouge(text, { depth: 0.5 })], text))).toEqual(['gouge accepted'])
})

test('applied to its own result, nothing changes', () => {
  const text = '(ACCEPT gouge 0.02: BLEND)\nN10 G1 Z-.03\n(ACCEPT gouge)\nN20 G0 Z5.\n(ACCEPT missing-feed: NONE)\n'
  const once = underWaivers([gouge(text, { depth: 0.03 })], text)
  expect(rulesOf(once)).toEqual(['gouge', 'waiver-without-reason', 'waiver-unused'])
  expect(underWaivers(once, text)).toEqual(once)
})

test('a rule that has had no chance to report leaves its waivers alone', () => {
  const text = '(ACCEPT gouge: BLEND)\nN10 G1 Z-.03\n'
  expect(underWaivers([], text, rule => rule !== 'gouge')).toEqual([])
  expect(rulesOf(underWaivers([], text))).toEqual(['waiver-unused'])
})

test('a finding in another file is not covered', () => {
  const text = 'G1 X10. (ACCEPT gouge: BLEND)'
  const other = { ...gouge(text, {}), file: 'other.setup.json' }
  expect(rulesOf(underWaivers([other], text))).toEqual(['waiver-unused', 'gouge'])
})

test('a level the user has set holds for waivers too', () => {
  const [finding] = underWaivers([], 'G1 X10. (ACCEPT gouge: BLEND)', () => true, { 'waiver-unused': 'note' })
  expect(finding.level).toBe('note')
})

test('line ends of every kind', () => {
  for (const end of ['\n', '\r\n', '\r']) {
    const text = ['G0 Z5.', '(ACCEPT gouge: BLEND)', 'G1 Z-.03', 'M30'].join(end)
    expect(rulesOf(underWaivers([gouge(text, {})], text))).toEqual(['gouge accepted'])
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

test('where the word stands after an edit is found as in a text never seen, 2,000 edits made of pieces of it', () => {
  const random = new SeededRandom(31), pieces = ['ACCEPT', 'ACC', 'EPT', 'accept', 'A', 'T', ' ', '(', ')', '\n', ': ', '_']
  let text = '(ACCEPT gouge: BLEND)\nG1 X1.', mentions = waiverMentions(text), most = 0
  for (let edit = 0; edit < 2000; edit++) {
    const start = random.whole(0, text.length), end = Math.min(text.length, start + random.whole(0, text.length > 120 ? 40 : 8))
    const put = Array.from({ length: random.whole(0, 4) }, () => random.pick(pieces)).join('')
    const after = text.slice(0, start) + put + text.slice(end)
    mentions = mentionsAfter(mentions, changeBetween(text, after), after)
    text = after
    expect([...mentions], JSON.stringify(text)).toEqual([...waiverMentions(text)])
    most = Math.max(most, mentions.length)
  }
  expect(most).toBeGreaterThan(3)
})
