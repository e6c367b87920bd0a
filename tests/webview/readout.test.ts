import { describe, expect, test } from 'vitest'
import type { SceneDescription, SceneFinding } from '../../shared/protocol/scene-messages.ts'
import type { PoseAnswer } from '../../shared/protocol/server-messages.ts'
import { findingCounts, findingSpoken, grouped, lengthText, readoutRows, sceneSummary, statusText } from '../../webview/readout.ts'

const scene = (unit = 1): SceneDescription => ({
  uri: 'file:///a.nc', version: 1, unit, findings: [], notes: [],
  part: { name: 'inlet.stl', triangles: 200_000, positions: 'k', min: [0, 0, 0], max: [1, 1, 1] },
  path: { vertices: 5001, positions: 'p', lines: 'l', flags: 'f', motions: 'm' }, bodies: [],
  tools: [{ number: 3, name: 'ball 4', parts: [] }],
})

const answer: PoseAnswer = {
  line: 41, text: 'N10 G1 X25.4', tool: 0, toolNumber: 3, rapid: false,
  pose: { point: [25.4, -0.0001, 12.5], axis: [0, -0.5, 0.8660254], rotary: [{ letter: 'A', degrees: -30 }, { letter: 'C', degrees: 12.3456 }] },
  clearances: [
    { component: 'cutter', value: -0.031, bound: 0.001 }, { component: 'neck', value: 0.42, bound: 0.001 },
    { component: 'shank', value: 0.0005, bound: 0.001 }, { component: 'holder', value: 5, bound: 0, beyond: true },
  ],
}

const rows = (pose: PoseAnswer | undefined, unit = 1) => readoutRows(pose, scene(unit)).map(({ label, value, touches }) => `${label}: ${value}${touches === true ? ' !' : ''}`)

describe('the block under the cursor', () => {
  test('in millimetres', () => {
    expect(rows(answer)).toEqual([
      'Tool: T3 ball 4',
      'Tool point: X 25.400  Y 0.000  Z 12.500 mm',
      'Tool axis: 0.00000  -0.50000   0.86603',
      'Rotary axes: A -30.000°  C 12.346°',
      'Motion: feed',
      // Whether a cutter may be so deep is for the findings to say.
      'Cutter: 0.031 ± 0.001 mm below the surface',
      'Neck: 0.420 ± 0.001 mm away',
      // Within the bound its side is not proven.
      'Shank: touches the surface, 0.001 ± 0.001 mm',
      'Holder: more than 5.000 mm away',
    ])
  })

  test('what stands above the cutter is marked where it touches', () => {
    expect(rows({ ...answer, clearances: [{ component: 'holder', value: -0.2, bound: 0.001 }] }).at(-1)).toBe('Holder: 0.200 ± 0.001 mm inside the part !')
  })

  test('in inch, where the sheet is', () => {
    expect(rows(answer, 25.4)[1]).toBe('Tool point: X 1.0000  Y 0.0000  Z 0.4921 in')
  })

  test('an unknown position and tools that the sheet does not have are said', () => {
    expect(rows({ line: 0, text: 'T9', toolNumber: 9 })).toEqual(['Tool: T9, not in the setup sheet', 'Position: not known at this block'])
    expect(rows({ line: 0, text: '' })).toEqual(['Tool: none in the spindle', 'Position: not known at this block'])
    expect(rows(undefined)).toEqual([])
  })
})

test.each([[0, 1, '0.000'], [-0.0004, 1, '0.000'], [-0.0005001, 1, '-0.001'], [1234.5678, 1, '1234.568'], [2.54, 25.4, '0.1000'], [-0.001, 25.4, '0.0000']])(
  'a length of %f in units of %f mm reads %s', (mm, unit, text) => {
    expect(lengthText(mm, unit)).toBe(text)
  })

const gouge: SceneFinding = { rule: 'gouge', level: 'error', message: 'Too deep.', firstLine: 9, lastLine: 11, line: 10 }

test('findings are counted by level, and nothing is called clean before it has been looked at', () => {
  const status = (phase: 'searching' | 'done') => ({ uri: '', phase, done: 0, total: 0, message: '' })
  expect(findingCounts(undefined, undefined)).toBe('Findings')
  expect(findingCounts([], status('searching'))).toBe('No findings so far')
  expect(findingCounts([], status('done'))).toBe('No findings')
  expect(findingCounts([gouge, gouge, { ...gouge, level: 'note' }], undefined)).toBe('2 errors, 1 note')
})

test('a finding is spoken with level, lines, rule and message', () => {
  expect(findingSpoken(gouge)).toBe('Error, gouge line 11, worst of 10 to 12 Too deep.')
  expect(findingSpoken({ ...gouge, firstLine: 10, lastLine: 10, waiver: 'CORK' })).toBe('Accepted error, gouge line 11 Too deep. Accepted in the program: CORK')
})

test('the picture in words', () => {
  expect(sceneSummary(scene(), undefined)).toBe('part inlet.stl of 200,000 triangles, 5,000 path segments. No findings.')
})

test('progress counts blocks only while it searches', () => {
  const status = { uri: '', done: 120, total: 5000, message: 'Searching for contact' }
  expect(statusText({ ...status, phase: 'searching' })).toBe('Searching for contact (120 of 5000 blocks)')
  expect(statusText({ ...status, phase: 'done', message: 'Checked.' })).toBe('Checked.')
  expect(statusText(undefined)).toBe('')
})

test.each([[0, '0'], [999, '999'], [1000, '1,000'], [1234567, '1,234,567']])('%d is written %s', (count, text) => {
  expect(grouped(count)).toBe(text)
})
