import { describe, expect, test } from 'vitest'
import type { ModalState } from '../../server/engine/machine/modal-state.ts'
import { degree, run, testTool } from './run-program.ts'
import type { RunWish } from './run-program.ts'

describe('what stays in force', () => {
  const cases: readonly [program: string, state: Partial<ModalState>, wish?: RunWish][] = [
    ['', { motion: undefined, plane: undefined, distance: undefined, feedMode: undefined, unit: undefined, feed: undefined, spindle: 'stopped', coolant: false, toolCentre: false, ended: false }],
    ['G0', { motion: 0 }], ['G01', { motion: 1 }], ['G2', { motion: 2 }], ['G3\nG1', { motion: 1 }], ['G80', { motion: 80 }], ['G81', { motion: 81 }],
    ['G18', { plane: 18 }], ['G19\nG17', { plane: 17 }], ['G91', { distance: 91 }], ['G90', { distance: 90 }],
    ['G20', { unit: 25.4 }], ['G71', { unit: 1 }],
    ['G93 F2', { feedMode: 93, feed: 2, feedGivenIn: 93 }], ['F100\nG93', { feedMode: 93, feed: 100, feedGivenIn: 94 }], ['G95', { feedMode: 95 }],
    ['F100 G93', { feedMode: 93, feed: 100, feedGivenIn: 93 }],
    ['G41 D1', { radiusCompensation: 41 }], ['G42\nG40', { radiusCompensation: 40 }],
    ['G43 H7', { lengthCompensation: 43, lengthOffset: 7, lengthOffsetSpan: { start: 4, end: 6 } }], ['G43 H7\nG49', { lengthCompensation: 49, lengthOffset: 7 }],
    ['G43.4 H2', { toolCentre: true, lengthCompensation: 43, lengthOffset: 2 }], ['G43.4\nG49', { toolCentre: false, lengthCompensation: 49 }],
    ['G43.4\nG43', { toolCentre: false, lengthCompensation: 43 }],
    ['G43 H1\nM128\nM129', { toolCentre: false, lengthCompensation: 43 }, { control: { toolCentreOn: ['M128'], toolCentreOff: ['M129'] } }],
    ['M128\nG43 H1', { toolCentre: true, lengthCompensation: 43 }, { control: { toolCentreOn: ['M128'], toolCentreOff: ['M129'] } }],
    ['T5', { selectedTool: 5, tool: undefined }], ['T5 M6', { selectedTool: 5, tool: 5 }], ['T5\nM6 T6', { tool: 6 }], ['T5 M6\nT7', { tool: 5, selectedTool: 7 }],
    ['G55', { workOffset: 'G55' }], ['G59.3', { workOffset: 'G59.3' }], ['G54.1 P12', { workOffset: 'G54.1 P12' }], ['G99', { cycleReturn: 99 }],
    ['S8000 M3', { speed: 8000, spindle: 'clockwise' }], ['M4', { spindle: 'counterclockwise' }], ['M3\nM5', { spindle: 'stopped' }], ['M13', { spindle: 'clockwise', coolant: true }],
    ['M8', { coolant: true }], ['M7\nM9', { coolant: false }], ['M3 M8', { spindle: 'clockwise', coolant: true }],
    // NISTIR 6556 3.6.3: after a tool change the spindle stands, the coolant is unchanged.
    ['M3 M8\nT1 M6', { spindle: 'stopped', coolant: true }],
    // NISTIR 6556 3.6.1: what the end resets, and what it does not.
    ['G18 G91 G93 F5 G41 G0 M3 M8 S9 T2 M6 G20\nM30', { ended: true, plane: 17, distance: 90, feedMode: 94, radiusCompensation: 40, motion: 1, spindle: 'stopped', coolant: false, unit: 25.4, feed: 5, speed: 9, tool: 2 }],
    ['M2\nG18 F100', { ended: true, plane: 17, feed: undefined }],
    // NISTIR 6556 3.1: the second lone % ends the program.
    ['%\nG18\n%\nG19', { ended: true, plane: 18 }], ['G18\n%\nG19', { ended: true, plane: 18 }], ['%\nG18', { ended: false, plane: 18 }],
    // NISTIR 6556 3.5.17: the mode of the block holds for its own words.
    ['G91 G1 X1 F1\nX1', { position: { X: 2, Y: 0, Z: 0, A: 0, C: 0 } }],
    ['G1 A-30 C370 F1', { position: { X: 0, Y: 0, Z: 0, A: -30 * degree, C: 370 * degree } }],
    ['G20 G1 X1 F1', { position: { X: 25.4, Y: 0, Z: 0, A: 0, C: 0 } }],
    ['G1 X5 F1\nG55', { position: { X: -5, Y: 0, Z: 0, A: 0, C: 0 }, joints: [5, 0, 0, 0, 0] }, { setup: { offsets: { G54: {}, G55: { X: 10 } } } }],
    ['G1 Z50 F1\nG43 H1', { position: { X: 0, Y: 0, Z: 10, A: 0, C: 0 } }, { setup: { tools: [testTool(1, 40)] } }],
    ['F#1', { feed: Number.NaN }], ['G68 X0 Y0 R30', { unsimulated: 'G68' }], ['G68 X0 Y0 R30\nG69', { unsimulated: undefined }],
  ]
  for (const [program, state, wish] of cases) {
    test(JSON.stringify(program), () => expect(run(program, wish).final).toMatchObject(state))
  }

  test('with tool-centre control on the position is the tool point', () => {
    const { final } = run('G1 X10 C90 F1\nG43.4')
    expect(final.joints[0]).toBe(10)
    expect(final.position.X).toBeCloseTo(0, 9)
    expect(final.position.Y).toBeCloseTo(-10, 9)
  })
})

describe('dwell: the machine file gives the letters and their units', () => {
  const cases: readonly [program: string, seconds: number, wish?: RunWish][] = [
    ['G4 P1500', 1.5], ['G4 X2.5', 2.5], ['G4 P500\nG04 P500', 1], ['G4 P2', 2, { control: { dwell: { P: 'seconds' } } }], ['G4 U3', 3, { control: { dwell: { U: 'seconds' } } }],
  ]
  for (const [program, seconds, wish] of cases) {
    test(program, () => {
      const result = run(program, wish)
      expect(result.dwellSeconds).toBe(seconds)
      // NISTIR 6556 3.5.4: X of a dwell moves nothing.
      expect(result.motions).toEqual([])
      expect(result.told).toEqual([])
    })
  }
})

describe('visitors see the state on both sides of each block', () => {
  test('before, after, motions', () => {
    const seen: string[] = []
    run('G1 X1 F60\n(nothing)\nG0 X5 Y10 S100\nM30\nX7\n', {}, ({ block, before, after, firstMotion, endMotion }) => {
      seen.push(`${block.line + 1}: G${before.motion}>${after.motion} X${before.position.X}>${after.position.X} J${before.joints[0]}>${after.joints[0]} S${before.speed}>${after.speed} [${firstMotion},${endMotion}) ${before.ended}>${after.ended}`)
    })
    expect(seen).toEqual([
      '1: Gundefined>1 X0>1 J0>1 Sundefined>undefined [0,1) false>false',
      '2: G1>1 X1>1 J1>1 Sundefined>undefined [1,1) false>false',
      '3: G1>0 X1>5 J1>5 Sundefined>100 [1,3) false>false',
      '4: G0>1 X5>5 J5>5 S100>100 [3,3) false>true',
      '5: G1>1 X5>5 J5>5 S100>100 [3,3) true>true',
    ])
  })
})

describe('the state before any line', () => {
  test('is the one the run itself had there', () => {
    const lines = ['%', 'G21 G90 G17', 'G55 T1 M6', 'G43.4 H1 G0 X0 Y0 Z20 A0 C0', 'G1 F500']
    for (let i = 0; i < 3200; i++) lines.push(i % 97 === 0 ? '' : i % 500 === 1 ? `G49 G0 Z${i}` : i % 500 === 2 ? 'G43.4 H1 G1' : `X${(i % 50) / 10} A${(i % 30) / 10} C${i / 20} ${i % 7 === 0 ? 'G91' : 'G90'}`)
    lines.push('M5', '%', 'G1 X1')
    const states: string[] = []
    const result = run(lines.join('\r\n'), { setup: { offsets: { G54: {}, G55: { X: 3, Z: -7 } }, tools: [testTool(1, 61.5)] } }, ({ block, before }) => { states[block.line] = JSON.stringify(before) })
    for (const line of [0, 1, 3, 5, 6, 200, 999, 1000, 1001, 1500, 2003, 2999, 3000, 3100, 3203, 3206, 3205]) {
      if (states[line] === undefined) continue
      expect(JSON.stringify(result.stateAt(line)), `line ${line}`).toBe(states[line])
    }
    expect(JSON.stringify(result.stateAt(9999))).toBe(JSON.stringify(result.final))
    expect(result.final.ended).toBe(true)
  })
})
