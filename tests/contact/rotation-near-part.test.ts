import { describe, expect, test } from 'vitest'
import { runExample } from '../harness/check-example.ts'

// A block 40 by 20 turns on the table about Z. Its upright edges run on a circle of radius √(20² + 10²) = 22.3607 mm
// (elementary geometry), so that a ball of 4 mm that stands at Y25 is 13 mm away before the turn and after it, and
// 25 - 2 - 22.3607 = 0.6393 mm when an edge comes by.

const block = { 'block.stl': { box: { min: [-20, -10, -10], max: [20, 10, 0] } } } as const

function found(y: number, turn: string, limits = '{}'): { rule: string, message: string, contact?: unknown }[] {
  const setup = `{
    "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
    "part": { "mesh": "block.stl" }, "limits": ${limits},
    "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30,
      "holder": [{ "diameter": 4, "length": 20 }] }]
  }`
  const program = `T1 M6\nG21 G17 G90 G94 G40 G49 G54\nS8000 M3\nG0 G43 H1 X0. Y60. Z20.\nZ-3.\nY${y}\n${turn}\nG0 G90 Y60.\nM30\n`
  return runExample({ program, setup, meshes: block }).findings.filter(finding => finding.contact !== undefined)
}

const rules = (findings: readonly { rule: string }[]) => findings.map(({ rule }) => rule)

describe('a rotary axis that turns near the part', () => {
  test('is told with the distance of the edge that swings by, between two ends that are clear', () => {
    const [only, ...others] = found(25, 'G0 C90.')
    expect(others).toEqual([])
    expect(only).toMatchObject({ rule: 'rotation-near-part', level: 'error', contact: { component: 'cutter', allowed: 1, against: 'part' } })
    const { clearance, bound } = only?.contact as { clearance: number, bound: number }
    expect(Math.abs(clearance - (25 - 2 - Math.hypot(20, 10)))).toBeLessThanOrEqual(bound + 1e-6)
  })

  test('is clear where the edge stays farther than the limit', () => {
    expect(found(25.4, 'G0 C90.')).toEqual([])
    expect(rules(found(25.4, 'G0 C90.', '{ "clearance": { "rapid": 2 } }'))).toEqual(['rotation-near-part'])
  })

  test('is told once where it touches, as contact', () => {
    expect(rules(found(23.2, 'G0 C90.'))).toEqual(['rapid-into-part'])
  })

  test('is an index at feed too, where nothing else moves', () => {
    expect(rules(found(25, 'G1 C90. F2000'))).toEqual(['rotation-near-part'])
    expect(rules(found(23.2, 'G1 C90. F2000'))).toEqual(['gouge'])
  })

  test('is no index where other axes move along at feed: that is a cut', () => {
    expect(found(25, 'G1 C90. Y25.1 F2000')).toEqual([])
  })

  test('keeps the larger of both distances from the holder', () => {
    const limits = '{ "clearance": { "holder": 3, "rapid": 1 } }'
    const [only] = runExample({
      program: 'T1 M6\nG21 G17 G90 G94 G40 G49 G54\nS8000 M3\nG0 G43 H1 X0. Y60. Z20.\nZ-35.\nY26.\nG0 C90.\nY60.\nM30\n',
      setup: `{
        "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
        "part": { "mesh": "block.stl" }, "limits": ${limits},
        "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 30, "holder": [{ "diameter": 4, "length": 20 }] }]
      }`,
      meshes: block,
    }).findings.filter(finding => finding.contact !== undefined)
    // 26 - 2 - 22.3607 = 1.6393 mm: enough for a rapid, not for this holder.
    expect(only).toMatchObject({ rule: 'rotation-near-part', contact: { component: 'holder', allowed: 3 } })
  })

  test('is accepted by a reviewer as any finding of the search', () => {
    const findings = found(25, 'G0 C90. (ACCEPT rotation-near-part 0.6: TURNED BY HAND, CHECKED)')
    expect(findings).toMatchObject([{ rule: 'rotation-near-part', waiver: { reason: 'TURNED BY HAND, CHECKED' } }])
  })
})
