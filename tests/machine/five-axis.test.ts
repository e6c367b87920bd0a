import { describe, expect, test } from 'vitest'
import { run, testTool } from './run-program.ts'
import type { RunWish } from './run-program.ts'

// Tilted working planes and tool vectors, one line each: the program, the motions. The test machine
// has a cradle A through (0, 0, -50) that carries the table C; both turn by the right-hand rule, so that
// u = (sin A sin C, sin A cos C, cos A), after Lee & She (1997).

type Case = readonly [name: string, program: string, motions: readonly string[], wish?: RunWish]

function table(title: string, cases: readonly Case[]): void {
  describe(title, () => {
    for (const [name, program, motions, wish] of cases) {
      test(name, () => {
        const result = run(program, wish)
        expect(result.told).toEqual([])
        expect(result.motions).toEqual(motions)
      })
    }
  })
}

const tools = [testTool(1, 50)]

// The plane's Z after Z-X-Z by i, j, k: (sin i sin j, -cos i sin j, cos j). Here j = 90, i = 0: along -Y, and
// with A carrying C that is A90 C180 or A-90 C0.
table('tilted plane', [
  ['laying it moves nothing', 'G68.2 X1 Y2 Z3 I10 J20 K30\nG69', []],
  ['the tool is turned square to it the near way', 'G68.2 X0 Y0 Z0 I0 J90 K0\nG53.1', ['2 joints-rapid A-90 1s']],
  ['P1: the tilting axis on its positive side', 'G68.2 I0 J90 K0\nG53.1 P1', ['2 joints-rapid A90 C90 1s', '2 joints-rapid C180 1s']],
  ['P2: on its negative side', 'G0 A90 C180\nG68.2 I0 J90 K0\nG53.1 P2', ['1 joints-rapid A90 C90 1s', '1 joints-rapid C180 1s', '3 joints-rapid A-90 C0 2s']],
  ['P as the machine file says', 'G68.2 I0 J90 K0\nG53.1 P2', ['2 joints-rapid A90 C90 1s', '2 joints-rapid C180 1s'], { control: { orientChoice: { 2: 'positive' } } }],
  ['at the feed when G1 is in force', 'G1 F900\nG68.2 J90\nG53.1', ['3 joints A-90 6s']],
  // Plane X is part X, plane Y is part Z, plane Z is part -Y. A-90 carries part (x, y, z) to machine (x, z + 50, -y - 50).
  ['X Y Z count in the plane', 'G68.2 J90\nG53.1\nG0 X0 Y0 Z0\nG1 X10 F600\nY10\nZ10', [
    '2 joints-rapid A-90 1s', '3 joints-rapid Y50 Z-50 0.5s', '4 joints X10 1s', '5 joints Y60 1s', '6 joints Z-40 1s']],
  ['incremental in the plane', 'G68.2 J90\nG53.1\nG91 G1 Y10 Z5 F600', ['2 joints-rapid A-90 1s', '3 joints Y10 Z5 1.11803s']],
  ['its zero', 'G68.2 X10 Y20 Z30 J90\nG53.1\nG0 X0 Y0 Z0', [
    '2 joints-rapid A-90 1s', '3 joints-rapid X10 Y10 Z-10 0.1s', '3 joints-rapid Y70 Z-70 0.6s', '3 joints-rapid Y80 0.1s']],
  ['the length lies along the tool axis', 'G43 H1\nG68.2 J90\nG53.1\nG0 X0 Y0 Z0', ['3 joints-rapid A-90 1s', '4 joints-rapid Y50 0.5s'], { setup: { tools } }],
  ['square before the tool is: the point still counts in the plane', 'G68.2 J90\nG0 Z10', ['2 joints-rapid Y-10 0.1s']],
  ['X Y Z of the plane are absolute under G91', 'G91 G68.2 X10 J90\nG90 G53.1\nG0 X0', ['2 joints-rapid A-90 1s', '3 joints-rapid X10 0.1s']],
  ['G53 stays in machine coordinates', 'G68.2 J90\nG53.1\nG53 G0 Z-20\nG1 Z0 F600', ['2 joints-rapid A-90 1s', '3 joints-rapid Z-20 0.2s', '4 joints Z-50 3s']],
  ['off: the numbers count as before', 'G68.2 X10 J90\nG53.1\nG69\nG0 X1', ['2 joints-rapid A-90 1s', '4 joints-rapid X1 0.01s']],
  ['a second one replaces the first', 'G68.2 X10 J90\nG68.2 X5 J0\nG0 X0', ['3 joints-rapid X5 0.05s']],
  ['in inch', 'G20 G68.2 X1 J90\nG0 X0', ['2 joints-rapid X25.4 0.254s']],
])

table('angles as the machine file reads them', [
  // X-Y-Z, fixed: J turns about Y, so that the plane's Z is +X: A-90 C-90 or A90 C90 on this machine.
  ['J about Y', 'G68.2 J90\nG53.1 P1', ['2 joints-rapid A90 C90 1s'], { control: { tiltedPlaneAngles: { order: 'X-Y-Z', about: 'fixed' } } }],
  // About fixed axes: X by 90 lays the plane's Z on -Y, then Z by 90 turns that to +X. About turned axes it stays at -Y.
  ['about fixed axes', 'G68.2 I90 K90\nG53.1 P1', ['2 joints-rapid A90 C90 1s'], { control: { tiltedPlaneAngles: { order: 'X-Y-Z', about: 'fixed' } } }],
  ['about axes that turn along', 'G68.2 I90 K90\nG53.1 P2', ['2 joints-rapid A-90 1s'], { control: { tiltedPlaneAngles: { order: 'X-Y-Z', about: 'turned' } } }],
])

table('tool-centre control with a tool vector', [
  ['I J K turn the tool', 'G43.5 G1 X0 Y0 Z0 I0 J-1 K0 F900', ['1 tool Y50 Z-50 A-90 6s']],
  ['of any length', 'G43.5 G1 I0 J-5 K0 F900', ['1 tool Y50 Z-50 A-90 6s']],
  ['a component that is not written is nought', 'G43.5 G1 J-2 F900', ['1 tool Y50 Z-50 A-90 6s']],
  ['blocks without I J K leave the rotary axes', 'G43.5 G1 I0 J-1 K0 F900\nZ10 F600', ['1 tool Y50 Z-50 A-90 6s', '2 tool Y60 1s']],
  // 0.01 of I turns C by atan 0.01 = 0.57294 degrees on this side; the other way would turn both axes by about half a turn.
  ['the way at hand is kept', 'G43.5 G1 I0 J-1 K0 F900\nI-0.01 J-1 K0', ['1 tool Y50 Z-50 A-90 6s', '2 tool C0.57294 0.0382s']],
])

describe('what is told', () => {
  const cases: readonly [program: string, told: readonly string[], words: string, wish?: RunWish][] = [
    ['G43.5 G1 X0 I0 J0 K0 F600', ['not-checked "I0"'], 'give no direction'],
    ['G43.5 G1 X0 I0 J1 K0 A5 F600', ['modal-conflict "I0"'], 'I J K and A both give the direction of the tool'],
    ['G68.2 J90\nG53.1 P7', ['not-checked "P7"'], 'What P7 asks of G53.1 is not known (P0: nearest, P1: positive, P2: negative)'],
    ['G68.2 J30\nG1 X0 Y0 F600\nG2 X10 I5 C10', ['not-checked "G2 X10 I5 C10"'], 'would not stay in its plane'],
    ['G68.2 J#1\nG0 X1', ['undefined-variable "J#1"', 'not-checked "G68.2"'], '#1'],
    ['G43.5 G1 I1 J0 K1 F600', ['travel-limit "I1"'], 'cannot turn the tool into the direction (0.7071, 0, 0.7071) asked for (1 block): the nearest it reaches is (0, 0, 1), 45° off', { axes: 'XYZA' }],
    ['G68.2 J30\nG53.1', ['travel-limit "G53.1"'], '30° off', { axes: 'XYZ' }],
    ['G43.5 G1 I1 J0 K1 F600', ['not-checked "I1"'], 'more than two rotary axes', { axes: 'XYZABC' }],
  ]
  test.each(cases)('%s', (program, told, words, wish) => {
    const result = run(program, wish)
    expect(result.told).toEqual(told)
    expect(result.problems[0].message).toContain(words)
  })

  test('a direction out of reach leaves the motion unknown until the rotary axes are given again', () => {
    const { motions } = run('G43.5 G1 X1 I1 J0 K1 F600\nX2\nX3 I0 J1 K1\nX4', { axes: 'XYZA' })
    expect(motions.map(motion => motion.includes('?'))).toEqual([true, true, true, false])
  })
})

test('the state before a line knows plane and vector', () => {
  const result = run('G68.2 X1 J90\nG43.5\nG1 X1 F1\nG49\nG69')
  const known = [0, 1, 2, 4, 5].map(line => {
    const { tiltedPlane, toolVector } = result.stateAt(line)
    return [tiltedPlane?.origin[0], toolVector]
  })
  expect(known).toEqual([[undefined, false], [1, false], [1, true], [1, false], [undefined, false]])
})
