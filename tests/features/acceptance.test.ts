import { describe, expect, it } from 'vitest'
import { acceptanceOf } from '../../server/engine/features/acceptance.ts'
import { readWaivers } from '../../server/engine/lint/waivers.ts'
import type { ContactProperties, Finding } from '../../shared/finding.ts'

const contact: ContactProperties = {
  component: 'holder', against: 'part', clearance: 0.4126, bound: 0.001, allowed: 1, point: [0, 0, 0],
  toolPoint: [0, 0, 0], toolAxis: [0, 0, 1], firstLine: 2, lastLine: 2, worstLine: 2, blocks: 1,
}
const finding = (rule: string, figures?: ContactProperties): Finding =>
  ({ rule, level: 'warning', message: '', span: { start: 4, end: 6 }, contact: figures })

describe('the comment that accepts a finding', () => {
  it('is read back as the waiver that was meant', () => {
    const text = 'G0\nG1 X1\n'
    const { line, text: comment } = acceptanceOf(text, 1, 'missing-feed', 'F comes (later) from\nthe panel', finding('missing-feed'))
    expect(line).toBe(1)
    const [waiver] = readWaivers(text.slice(0, 3) + comment + text.slice(3))
    expect(waiver).toMatchObject({ rule: 'missing-feed', reason: 'F comes [later] from the panel', figure: undefined })
  })

  it('carries the figure of a contact finding, rounded so that it covers what was seen', () => {
    const gap = acceptanceOf('G1 X1', 0, 'holder-clearance', 'CORK PAD', finding('holder-clearance', contact))
    expect(gap.text).toBe('(ACCEPT holder-clearance 0.412: CORK PAD)\n')
    const cut = acceptanceOf('G1 X1', 0, 'gouge', 'BLEND', finding('gouge', { ...contact, clearance: undefined, depth: 0.0301 }))
    expect(cut.text).toBe('(ACCEPT gouge 0.031: BLEND)\n')
  })

  it('keeps the line ends of the program', () => {
    expect(acceptanceOf('G0\r\nG1 X1\r\n', 1, 'gouge', 'OK', undefined).text).toBe('(ACCEPT gouge: OK)\r\n')
  })
})
