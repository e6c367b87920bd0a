import { describe, expect, test } from 'vitest'
import type { Tool } from '../../shared/setup.ts'
import { run, testTool } from './run-program.ts'

const cutter = (number: number, diameter: number) => testTool(number, 50, { cutter: { shape: 'flat', DC: diameter, LCF: 6 } })
const setup = { tools: [cutter(1, 1), cutter(2, 4)] }

/** The tool's way in X and Y: `line` or `arc` with its end. */
function way(program: string, tools: readonly Tool[] = setup.tools): { path: string[], told: readonly string[], words: string } {
  const result = run(program, { setup: { tools }, control: { rapid: 'straight' } }), { toolpath } = result, width = toolpath.axes.length
  const path = Array.from({ length: toolpath.count }, (_, i) => {
    const [x, y] = [0, 1].map(j => Math.round((toolpath.joints[(i + 1) * width + j] ?? Number.NaN) * 1e4) / 1e4 + 0)
    return `${toolpath.arcOf[i] >= 0 ? 'arc' : 'line'} ${x} ${y}`
  })
  return { path, told: result.told, words: result.problems[0]?.message ?? '' }
}

describe('NISTIR 6556 appendix B', () => {
  // The contour of table 12 is the edge of the material, that of table 13 the way of a tool of diameter 1 along it.
  const edge = 'G0 X1 Y5\nG41 D1 G1 Y4 F60\nG3 X2 Y3 I1\nG2 X3 Y2 J-1\nG1 Y-1\nG2 X2 Y-2 I-1\nG1 X-2\nG2 X-2.6 Y-0.2 J1\nG1 X1.4 Y2.8\nG2 X2 Y3 I0.6 J-0.8\nG40\nG1 Y5'
  test('the first move touches the contour from the side (B.6), an arc rolls on, and the edge offset is the nominal path', () => {
    const { path, told } = way(edge)
    expect(told).toEqual([])
    expect(path).toEqual([
      'line 1 5', 'line 1.433 4.25', 'arc 1.5 4', 'arc 2 3.5', 'arc 3.5 2', 'line 3.5 -1', 'arc 2 -2.5', 'line -2 -2.5', 'arc -2.9 0.2', 'line 1.1 3.2', 'arc 2 3.5', 'line 2 5',
    ])
  })
  test('a negative radius is the other side: G42 mirrors G41', () => {
    const { path } = way('G0 X-1 Y5\nG42 D1 G1 Y4 F60\nG2 X-2 Y3 I-1\nG40\nG1 Y6')
    expect(path).toEqual(['line -1 5', 'line -1.433 4.25', 'arc -1.5 4', 'arc -2 3.5', 'line -2 6'])
  })
})

describe('the radius of a D number', () => {
  const edge = 'G0 X-5 Y-10\nG41 D2 G1 X0 Y0 F60\nY10\nX10\nG40 Y20'
  const worn = (number: number, diameter: number, more: Partial<Tool>) => ({ ...cutter(number, diameter), ...more })
  const last = (program: string, tools: readonly Tool[]) => way(program, tools).path.slice(2, 4)
  test('is that of the tool it belongs to', () => expect(last(edge, [cutter(2, 9), worn(1, 4, { radiusOffset: 2 })].map((tool, i) => i === 0 ? { ...tool, radiusOffset: 9 } : tool))).toEqual(['line -2 10', 'arc 0 12']))
  test('has the wear in it', () => expect(last(edge, [worn(2, 4, { radiusWear: -0.25 })])).toEqual(['line -1.75 10', 'arc 0 11.75']))
  test('is the wear alone where the program gives the way of the centre (common practice)', () => {
    expect(last(edge, [worn(2, 4, { radiusWear: -2 })])).toEqual(['line 0 10', 'line 10 10'])
  })
  test('negative, it is the other side: NISTIR 6556 B.4', () => {
    const other = way(edge.replace('G41', 'G42'), [worn(2, 4, { radiusWear: -4 })]), plain = way(edge, [cutter(2, 4)])
    expect(other.path).toEqual(plain.path)
    expect(other.told).toEqual([])
  })
  test('of two tools with one D is that of the tool in the spindle', () => {
    const tools = [worn(1, 8, { radiusOffset: 2 }), cutter(2, 4)]
    expect(last(`T2 M6\n${edge}`, tools)).toEqual(['line -2 10', 'arc 0 12'])
    expect(last(`T1 M6\n${edge}`, tools)).toEqual(['line -4 10', 'arc 0 14'])
  })
  test('without D is that of the tool in the spindle, whatever its D (3.5.10)', () => {
    expect(last(`T1 M6\n${edge.replace(' D2', '')}`, [worn(1, 4, { radiusOffset: 7 }), cutter(2, 9)])).toEqual(['line -2 10', 'arc 0 12'])
  })
})

describe('corners', () => {
  test('an outside corner is rolled around', () => {
    const { path, told } = way('G0 X-5 Y-10\nG41 D2 G1 X0 Y0 F60\nY10\nX10\nG40 Y20')
    expect(told).toEqual([])
    expect(path.slice(2)).toEqual(['line -2 10', 'arc 0 12', 'line 10 12', 'line 10 20'])
  })
  test('an inside corner ends where both ways meet (common practice)', () => {
    const { path, told } = way('G0 X0 Y-10\nG42 D2 G1 X0 Y0 F60\nY10\nX10\nY0\nG40 X20')
    expect(told).toEqual([])
    expect(path.slice(3, 6)).toEqual(['line 2 8', 'line 8 8', 'line 8 0'])
  })
  test('an inside corner of a line and an arc', () => {
    const { path, told } = way('G0 X0 Y-10\nG41 D1 G1 X0 Y0 F60\nX-10\nG3 X-10 Y-20 J-10\nG40 G1 X-30')
    expect(told).toEqual([])
    expect(path.slice(-3)).toEqual(['line -10 -0.5', 'arc -10 -19.5', 'line -30 -20'])
  })
  test('moves out of the plane wait for the corner', () => {
    const result = run('G0 X0 Y-10\nG42 D2 G1 X0 Y0 F60\nZ-5\nY10\nX10\nZ5\nY0\nG40 X20', { setup, control: { rapid: 'straight' } })
    expect(result.told).toEqual([])
    const moves = result.motions.map(motion => motion.replace(/ [\d.]+s$/, ''))
    expect(moves.slice(2, 7)).toEqual(['3 joints Z-5', '3 joint-arc X2 Y0', '4 joints Y8', '5 joints X8', '6 joints Z5'])
  })
})

describe('misuse: the errors NISTIR 6556 names', () => {
  const begin = 'G0 X-5 Y-10\nG41 D2 G1 X0 Y0 F60\nY10\n'
  const cases: readonly [program: string, told: string, words: string][] = [
    [`${begin}G41 X5`, 'radius-compensation-misuse "G41 X5"', 'is on already when G41 comes'],
    [`${begin}G18`, 'radius-compensation-misuse "G18"', 'G18 changes the plane'],
    [`${begin}G20`, 'radius-compensation-misuse "G20"', 'changes the units'],
    [`${begin}G55`, 'radius-compensation-misuse "G55"', 'changes the work offset'],
    [`${begin}G92 X5`, 'radius-compensation-misuse "G92"', 'changes the position'],
    [`${begin}G10 L2 P1 X5`, 'radius-compensation-misuse "G10"', 'changes an offset'],
    [`${begin}G28 X5`, 'radius-compensation-misuse "G28 X5"', 'while G28 goes home'],
    [`${begin}G53 X5`, 'radius-compensation-misuse "G53 X5"', 'machine coordinates'],
    [`${begin}G38.2 X5`, 'radius-compensation-misuse "G38.2 X5"', 'while probing'],
    [`${begin}X5 A5`, 'radius-compensation-misuse "X5 A5"', 'while axis A turns'],
    ['G41 D2 G1 X1 F60', 'radius-compensation-misuse "G41 D2 G1 X1 F60"', 'the tool already stands in the contour'],
    [`${begin}G3 X-2 Y10 I-1`, 'radius-compensation-misuse "G3 X-2 Y10 I-1"', 'no larger than the tool'],
    [`${begin}X-3 Y10.5\nY0`, 'radius-compensation-misuse "X-3 Y10.5"', 'does not fit into'],
    ['G41 D2 G2 X10 I5 F60', 'radius-compensation-misuse "G41 D2 G2 X10 I5 F60"', 'starts on an arc'],
    ['G41 D7 G1 X10 F60', 'not-checked "G41"', 'a tool the setup sheet does not give'],
  ]
  for (const [program, told, words] of cases) {
    test(program.replace(begin, '… ').replaceAll('\n', ' | '), () => {
      const result = way(program)
      expect(result.told).toContain(told)
      expect(result.words).toContain(words)
    })
  }
  test('a control that takes no inside corners', () => {
    const result = run('G0 X0 Y-10\nG42 D2 G1 X0 Y0 F60\nY10\nX10\nG40 X20', { setup, control: { insideCorner: 'error' } })
    expect(result.told).toEqual(['radius-compensation-misuse "Y10"'])
  })
})
