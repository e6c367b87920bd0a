import { describe, expect, test } from 'vitest'
import { usualVariables } from '../../shared/usual-variables.ts'
import { run, testTool } from './run-program.ts'
import type { RunWish } from './run-program.ts'

// Variables and offsets: the program, the position of X (or the joints) it leads to.

type Case = readonly [source: string, program: string, joints: Readonly<Record<string, number>>, wish?: RunWish]

function table(title: string, cases: readonly Case[]): void {
  describe(title, () => {
    for (const [source, program, joints, wish] of cases) {
      test(`${source}: ${program.replaceAll('\n', ' | ')}`, () => {
        const result = run(program, wish)
        expect(result.told).toEqual([])
        const axes = result.toolpath.axes
        for (const [letter, value] of Object.entries(joints)) expect(result.final.joints[axes.indexOf(letter)], letter).toBeCloseTo(value, 9)
      })
    }
  })
}

const zero: RunWish = { control: { variables: { ...usualVariables, unset: 'zero' } } }
const offsets: RunWish = { setup: { offsets: { G54: { X: 0 }, G55: { X: 100, Y: 7 } } } }

table('parameters', [
  ['NISTIR 6556 3.3.3, parallel setting', '#3=15\n#3=6 G1 X#3 F60', { X: 15 }],
  ['and behind it the new value holds', '#3=15\n#3=6 G1 X#3 F60\nX#3', { X: 6 }],
  ['NISTIR 6556 3.3.5, the last of two settings wins', '#3=15 #3=6\nG1 X#3 F60', { X: 6 }],
  ['NISTIR 6556 3.3.2.2, #1+2', '#1=5\nG1 X[#1+2] F60', { X: 7 }],
  ['NISTIR 6556 3.3.2.2, #[1+2]', '#3=9\nG1 X#[1+2] F60', { X: 9 }],
  ['NISTIR 6556 3.3.2.2, ##2', '#2=3 #3=8\nG1 X##2 F60', { X: 8 }],
  ['NISTIR 6556 C.2', '#1=2.0\n##1=0.375\nG1 X#2 F60', { X: 0.375 }],
  ['NISTIR 6556 C.2', '#3=7\nG1 #3=5.0 X#3 F60', { X: 7 }],
  ['NISTIR 6556 C.2', '#3=7\nG1 #3=5.0 X#3 F60\nX#3 #3=1.1', { X: 5 }],
  ['NISTIR 6556 3.3.2.3', '#3=15\nG1 X[1 + acos[0] - [#3 ** [4.0/2]]] F60', { X: -134 }],
  ['NISTIR 6556 3.3.2.1, an index within 0.0001', '#3=4\nG1 X#3.00005 F60', { X: 4 }],
  ['NISTIR 6556 3.3.6, order on the line is free', '#1=4\nF60 X#1 #1=9 G1', { X: 4 }],
  ['NISTIR 6556 3.3, blanks mean nothing', '# 1 = 1 2 . 5\nG1 X # 1 F60', { X: 12.5 }],
  ['common practice, operators without brackets', '#100=1\n#100=#100+2*3\nG1 X#100 F60', { X: 7 }],
  ['common practice, names', '#<depth of cut>=3\nG1 X#<DEPTH OF CUT> F60', { X: 3 }, { control: { variables: { ...usualVariables, named: true } } }],
  ['common practice, other spellings', '#1=SQR[9]+RND[1.6]\nG1 X#1 F60', { X: 5 }],
  ['common practice, FIX towards zero', 'G1 X FIX[-2.8] Y FUP[-2.2] F60', { X: -2, Y: -3 }, { control: { variables: { ...usualVariables, fix: 'toward-zero' } } }],
])

table('positions and offsets as variables: NISTIR 6556 table 2', [
  ['offset of G55', 'G1 X#5241 Y#5242 F60', { X: 100, Y: 7 }, offsets],
  ['set by the program', '#5221=30\nG54 G1 X0 F60', { X: 30 }],
  ['number of the offset in force', 'G1 X#5220 F60\nG59.3\nG54 Y1', { X: 1, Y: 1 }],
  ['number of the offset in force', 'G55\nG53 G1 X#5220 F60', { X: 2 }, offsets],
  ['G92 in 5211', 'G1 X4 F60\nG92 X7\nG53 X#5211', { X: -3 }],
  ['home in 5161', 'G1 X[#5161+1] F60', { X: 51 }, { home: [50, 0, 0, 0, 0] }],
  ['common practice: position in 5041, inches', 'G20 G1 X2 F60\nX[#5041+1]', { X: 76.2 }],
  ['common practice: machine position in 5021', 'G55 G1 X1 F60\nG54 X[#5021]', { X: 101 }, offsets],
  ['5224 is A', 'G1 A10 F60\nA[#5044+5]', { A: 15 * Math.PI / 180 }],
  ['the machine file may number its own axes', 'G1 C10 F60\nC[#5045+5]', { C: 15 * Math.PI / 180 }, { control: { variables: { ...usualVariables, axes: 'XYZAC' } } }],
])

table('offsets written by the program', [
  ['NISTIR 6556 3.5.5', 'G10 L2 P1 X3.5 Y17.2\nG54 G1 X0 Y0 F60', { X: 3.5, Y: 17.2 }],
  ['only the words given change', 'G10 L2 P2 X1\nG55 G1 X0 Y0 F60', { X: 1, Y: 7 }, offsets],
  ['an offset the sheet does not give', 'G10 L2 P9 X1\nG59.3 G1 X1 F60', { X: 2 }, offsets],
  ['common practice: G91 adds', 'G91 G10 L2 P2 X1\nG90 G55 G1 X0 F60', { X: 101 }, offsets],
  ['common practice: further offsets', 'G10 L20 P3 X5\nG54.1 P3 G1 X1 F60', { X: 6 }, offsets],
  ['NISTIR 6556 3.5.18, at X4 G92 X7 shifts by -3', 'G1 X4 F60\nG92 X7\nX0', { X: -3 }],
  ['and G92 X9 then by -5', 'G1 X4 F60\nG92 X7\nG92 X9\nX0', { X: -5 }],
  ['G92 acts on all offsets', 'G1 X4 F60\nG92 X7\nG55 X0', { X: 97 }, offsets],
  ['G92.1 clears', 'G1 X4 F60\nG92 X7\nG92.1\nG92.3\nX0', { X: 0 }],
  ['G92.2 suspends', 'G1 X4 F60\nG92 X7\nG92.2\nX0', { X: 0 }],
  ['G92.3 takes up again', 'G1 X4 F60\nG92 X7\nG92.2\nG92.3\nX0', { X: -3 }],
  ['NISTIR 6556 3.6.1, M30 puts G92 out of force', 'G1 X4 F60\nG92 X7\nM30', { X: 4 }],
  ['common practice: G52', 'G52 X10\nG1 X1 F60\nG52 X0\nY1', { X: 11, Y: 1 }],
  ['NISTIR 6556 3.5.8, G30', 'G91 G30 Z0', { Z: 77 }, { secondHome: [0, 0, 77, 0, 0] }],
])

test('G30 needs the second home of the machine file', () => {
  expect(run('G30 Z0').told).toEqual(['not-checked "G30"'])
})

test('NISTIR 6556 3.6.1: what M2 resets', () => {
  const { final } = run('G55 G18 G91 G93 G41 D1 G0 M3 M8 S5 F5\nM2', offsets)
  expect(final).toMatchObject({ workOffset: 'G54', plane: 17, distance: 90, feedMode: 94, radiusCompensation: 40, motion: 1, spindle: 'stopped', coolant: false, speed: 5, feed: 5 })
})

test('NISTIR 6556 table 2: everything is nought but 5220', () => {
  const result = run('G1 X#100 Y#5241 Z#5220 F60', zero)
  expect(result.final.joints.slice(0, 3)).toEqual([0, 0, 1])
  expect(result.told).toEqual(['undefined-variable "X#100"'])
})

test('the length offset and G92 in one program', () => {
  const result = run('T1 M6\nG43 H1 G0 Z0\nG92 Z10\nZ0', { setup: { tools: [testTool(1, 50)] } })
  expect(result.final.joints[2]).toBe(40)
})
