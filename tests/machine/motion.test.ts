import { describe, expect, test } from 'vitest'
import { degree, run, testTool } from './run-program.ts'
import type { RunWish } from './run-program.ts'

// One line each: the program, the motions. Joints in mm and degrees. The test machine starts at
// nought and moves 100 mm/s and 90 degrees/s in rapid.

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

table('straight moves with tool-centre control off', [
  ['a feed move', 'G1 X10 Y-5 F600', ['1 joints X10 Y-5 1.11803s']],
  ['the code stays in force', 'G1 X10 F600\nX20', ['1 joints X10 1s', '2 joints X20 1s']],
  ['nothing moves', 'G1 X10 F600\nX10 Y0', ['1 joints X10 1s']],
  ['NISTIR 6556 3.5.17: incremental', 'G91 G1 X10 F600\nX10 Y1\nG90 X0', ['1 joints X10 1s', '2 joints X20 Y1 1.00499s', '3 joints X0 2s']],
  ['rotary axes', 'G1 A-30 C40 F500', ['1 joints A-30 C40 6s']],
  ['a mode named in the same block comes first', 'X10 G91 G1 F600\nG90 X5 G0', ['1 joints X10 1s', '2 joints-rapid X5 0.05s']],
  ['NISTIR 6556 3.5.7: inch', 'G20 G1 X1 F60', ['1 joints X25.4 1s']],
  ['inch leaves degrees alone', 'G20 G1 A10 F600', ['1 joints A10 1s']],
  ['the setup\'s unit where the program names none', 'G1 X1 F60', ['1 joints X25.4 1s'], { setup: { unit: 25.4 } }],
  ['and back to metric', 'G20 G1 X1 F60\nG21 X50.8 F25.4', ['1 joints X25.4 1s', '2 joints X50.8 60s']],
  ['codes of the machine file for units', 'G70 G1 X1 F60', ['1 joints X25.4 1s']],
  ['block skip is read as switched off: the block runs', 'G1 X1 F60\n/X2', ['1 joints X1 1s', '2 joints X2 1s']],
  ['a third linear axis', 'G1 U5 F300', ['1 joints U5 1s'], { axes: 'XYZU' }],
])

table('rapids', [
  ['each axis at its own rate: arrives when it arrives', 'G0 X10 Y20', ['1 joints-rapid X10 Y10 0.1s', '1 joints-rapid Y20 0.1s']],
  ['equal ways are one leg', 'G0 X10 Y-10 A9', ['1 joints-rapid X10 Y-10 A9 0.1s']],
  ['three arrivals, three legs', 'G0 X10 Y20 C45', ['1 joints-rapid X10 Y10 C9 0.1s', '1 joints-rapid Y20 C18 0.1s', '1 joints-rapid C45 0.3s']],
  ['straight where the machine file says so', 'G0 X10 Y20', ['1 joints-rapid X10 Y20 0.2s'], { control: { rapid: 'straight' } }],
  ['with tool-centre control the tool point goes straight', 'G43.4 G0 X10 Y20', ['1 tool-rapid X10 Y20 0.2s']],
])

table('feed: NISTIR 6556 2.1.2.5 and 3.5.19', [
  ['linear and rotary: F along X Y Z as if the rotary stood still', 'G1 X100 C90 F1000', ['1 joints X100 C90 6s']],
  ['one rotary axis: degrees a minute', 'G1 C90 F900', ['1 joints C90 6s']],
  ['two rotary axes: the root of the squares', 'G1 A30 C40 F500', ['1 joints A30 C40 6s']],
  ['inverse time: 1/F minutes', 'G93 G1 X10 F2', ['1 joints X10 30s']],
  ['10 mm at 500 mm/min is F50', 'G93 G1 X10 F50', ['1 joints X10 1.2s']],
  ['inverse time leaves rapids alone', 'G93 G0 X10 F2', ['1 joints-rapid X10 0.1s']],
  ['inverse time read as seconds', 'G93 G1 X10 F2.5', ['1 joints X10 2.5s'], { control: { inverseTime: 'seconds' } }],
  ['per revolution', 'G95 S1000 M3 G1 X10 F0.1', ['1 joints X10 6s']],
  ['per revolution in inch', 'G20 G95 S1000 M3 G1 X1 F0.01', ['1 joints X25.4 6s']],
  ['without a feed no time', 'G1 X10', ['1 joints X10 0s']],
  ['back to per minute', 'G93 G1 X10 F2\nG94 X20 F600', ['1 joints X10 30s', '2 joints X20 1s']],
  ['tool-centre control: F is the tool point\'s on the part', 'G43.4 G1 X30 Y40 C90 F600', ['1 tool X-40 Y30 C90 5s']],
  ['tool-centre control, the point stands still: degrees a minute', 'G43.4 G1 C90 F900', ['1 tool C90 6s']],
])

table('home and machine coordinates: NISTIR 6556 3.5.8 and 3.5.12', [
  ['G28 through the point given, then only the axes given', 'G90 G1 X10 Y10 Z10 F6000\nG91 G28 Z5', ['1 joints X10 Y10 Z10 0.91104s', '2 joints-rapid Z15 0.05s', '2 joints-rapid Z100 0.85s'], { home: [0, 0, 100, 0, 0] }],
  ['G28 where it stands', 'G0 Z0\nG28 G91 Z0', ['1 joints-rapid Z0 1s', '2 joints-rapid Z100 1s'], { home: [0, 0, 100, 0, 0] }],
  ['G28 without axes takes all home', 'G1 X10 A9 F600\nG28', ['1 joints X10 A9 1s', '2 joints-rapid X0 A0 0.1s']],
  ['the motion code in force is kept', 'G1 X10 F600\nG28 X10\nX5', ['1 joints X10 1s', '2 joints-rapid X0 0.1s', '3 joints X5 0.5s']],
  ['G53 in machine coordinates', 'G55 G0 X0\nG53 X0\nX0', ['1 joints-rapid X50 0.5s', '2 joints-rapid X0 0.5s', '3 joints-rapid X50 0.5s'], { setup: { offsets: { G54: {}, G55: { X: 50 } } } }],
  ['G53 is absolute whatever the distance mode', 'G1 X10 F600\nG91 G53 G0 X5', ['1 joints X10 1s', '2 joints-rapid X5 0.05s']],
  ['G53 at the feed', 'G53 G1 Z-5 F300', ['1 joints Z-5 1s']],
])

const offsets = { G54: { X: 100, Z: 200, C: 90 * degree }, G55: { X: 110, Y: 5, Z: 200 } }
// 50 mm stick-out and a holder of 30 mm: 80 mm from the tip to the gauge point.
const tools = [testTool(1, 50, { holder: [{ diameter: 10, topDiameter: 10, length: 30 }] })]

table('work offsets and tool length', [
  ['program zero is the offset\'s joint value', 'G54 G1 X1 Y0 Z0 A0 C0 F600', ['1 joints X101 Z200 C90 22.40558s'], { setup: { offsets } }],
  ['the base offset holds before one is named', 'G0 X0', ['1 joints-rapid X100 1s'], { setup: { offsets } }],
  ['another offset', 'G55 G0 X0', ['1 joints-rapid X110 1.1s'], { setup: { offsets } }],
  ['NISTIR 6556 2.1.2.10: a new offset moves nothing', 'G54 G0 X0\nG55\nG91 X1', ['1 joints-rapid X100 1s', '3 joints-rapid X101 0.01s'], { setup: { offsets } }],
  ['H in force adds the tool\'s length on Z', 'G43 H1 G0 Z10', ['1 joints-rapid Z90 0.9s'], { setup: { tools } }],
  ['to the centre of the ball where the sheet says so', 'G43 H1 G0 Z10', ['1 joints-rapid Z88 0.88s'], { setup: { tools: [{ ...tools[0], point: 'centre' }] } }],
  ['NISTIR 6556 3.5.11: H0 is nil', 'G43 H0 G0 Z10', ['1 joints-rapid Z10 0.1s'], { setup: { tools } }],
  ['G49 changes the number of Z only', 'G43 H1 G0 Z10\nG49\nZ10', ['1 joints-rapid Z90 0.9s', '3 joints-rapid Z10 0.8s'], { setup: { tools } }],
  ['without H the tool in the spindle', 'T1 M6\nG43 G0 Z10', ['2 joints-rapid Z90 0.9s'], { setup: { tools } }],
  ['H of another tool gives that tool\'s length', 'T1 M6\nG43 H2 G0 Z10', ['2 joints-rapid Z50 0.5s'], { setup: { tools: [...tools, testTool(2, 40)] } }],
  ['a new H takes effect at the next value of Z', 'G43 H1 G0 Z10\nH2\nZ10', ['1 joints-rapid Z90 0.9s', '3 joints-rapid Z50 0.4s'], { setup: { tools: [...tools, testTool(2, 40)] } }],
])

const rotaryTravel = (C: 'as-written' | 'shortest' | 'sign-is-direction'): RunWish => ({ control: { rotaryTravel: { C } } })

table('rotary words: the machine file says which way round', [
  ['NISTIR 6556 2.1.2.2: as written, 350 to 10 is -340', 'G1 C350 F600\nC10', ['1 joints C350 35s', '2 joints C10 34s']],
  ['shortest: 350 to 10 is +20', 'G1 C350 F600\nC10', ['1 joints C-10 1s', '2 joints C10 2s'], rotaryTravel('shortest')],
  ['shortest goes on counting', 'G91 G1 C350 F600\nG90 C10', ['1 joints C350 35s', '2 joints C370 2s'], rotaryTravel('shortest')],
  ['shortest: half a turn goes the positive way', 'G1 C180 F600\nC0', ['1 joints C180 18s', '2 joints C360 18s'], rotaryTravel('shortest')],
  ['the sign is the direction', 'G1 C350 F600\nC10\nC-350\nC-0\nC0', ['1 joints C350 35s', '2 joints C370 2s', '3 joints C350 2s', '4 joints C0 35s'], rotaryTravel('sign-is-direction')],
  ['incremental is always as written', 'G91 G1 C350 F600\nC350', ['1 joints C350 35s', '2 joints C700 35s'], rotaryTravel('shortest')],
])

table('tool-centre control', [
  // Lee & She (1997): X Y Z = Rx(A) Rz(C) (Q - L) + L with L = (0, 0, -50), Q = (10, 20, 30), a 3-4-5 pair of angles.
  ['table A with C on it', 'G43.4 G1 X10 Y20 Z30 A53.13010235 C36.86989765 F600', ['1 tool X-4 Y-50.8 Z15.6 A53.1301 C36.8699 3.74166s']],
  ['the other solution of the same pose', 'G43.4 G1 X10 Y20 Z30 A-53.13010235 C-143.13010235 F600', ['1 tool X4 Y50.8 Z15.6 A-53.1301 C-143.1301 3.74166s']],
  ['table B with C on it', 'G43.4 G1 X10 Y20 Z30 B53.13010235 C36.86989765 F600', ['1 tool X61.6 Y22 Z1.2 B53.1301 C36.8699 3.74166s'], { axes: 'XYZBC' }],
  ['switching on and off moves nothing', 'G1 X10 C90 F600\nG43.4\nG49\nX10 C90', ['1 joints X10 C90 1s']],
  ['it takes the position the joints have', 'G1 X10 C90 F600\nG43.4\nG91 Z1', ['1 joints X10 C90 1s', '3 tool Z1 0.1s']],
  ['incremental in the part\'s frame', 'G43.4 G1 C90 F900\nG91 X10 F600', ['1 tool C90 6s', '2 tool Y10 1s']],
  ['H in the same block', 'G43.4 H1 G1 Z5 A90 F600', ['1 tool Y-55 Z30 A90 8.5s'], { setup: { tools } }],
  ['another offset, parallel to the part\'s frame', 'G55 G43.4 H0 G1 X0 Y0 Z0 C90 F600', ['1 tool X-7 Y10 C90 1.22066s'], { setup: { offsets: { G54: {}, G55: { X: 10, Y: 7 } } } }],
  ['X Y Z are the tool point wherever a second axis along X stands', 'G43.4 G1 X10 F600\nU4 F240', ['1 tool X10 1s', '2 tool X6 U4 1s'], { axes: 'XYZU' }],
  ['the machine file\'s own codes, here M codes', 'M128\nG1 X10 C90 F600\nM129\nX0', ['2 tool Y10 C90 1s'], { control: { toolCentreOn: ['M128'], toolCentreOff: ['M129'] } }],
])
