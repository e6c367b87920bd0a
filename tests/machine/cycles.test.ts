import { describe, expect, test } from 'vitest'
import { run } from './run-program.ts'
import type { RunWish } from './run-program.ts'

// One line a test: the program; its moves as `rapid` or `feed` with the point they end on (X Y Z), and what is told.

function moves(program: string, unit = 1): { moves: string[], told: readonly string[], seconds: number } {
  const result = run(program, { control: { rapid: 'straight' } }), { toolpath } = result, width = toolpath.axes.length
  const list = Array.from({ length: toolpath.count }, (_, i) => {
    const at = [0, 1, 2].map(j => Math.round((toolpath.joints[(i + 1) * width + j] ?? Number.NaN) / unit * 1e6) / 1e6 + 0)
    const isUnknown = (toolpath.flags[i] & 16) !== 0
    return `${(toolpath.flags[i] & 1) !== 0 ? 'rapid' : 'feed'}${isUnknown ? '?' : ''} ${at.join(' ')}${(toolpath.flags[i] & 2) !== 0 ? '' : ' stopped'}`
  })
  return { moves: list.map(line => line.replace(' stopped', '')), told: result.told, seconds: result.dwellSeconds }
}

describe('the worked cycles of NISTIR 6556', () => {
  const cases: readonly [name: string, start: string, program: string, expected: readonly string[], unit?: number][] = [
    ['3.5.16.3, first example', 'G0 X1 Y2 Z3', 'G90 G81 G98 X4 Y5 Z1.5 R2.8 F60', ['rapid 4 5 3', 'rapid 4 5 2.8', 'feed 4 5 1.5', 'rapid 4 5 3']],
    ['3.5.16.3, second example', 'G0 X1 Y2 Z3', 'G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3 F60', [
      'rapid 1 2 4.8', 'rapid 5 7 4.8', 'feed 5 7 4.2', 'rapid 5 7 4.8', 'rapid 9 12 4.8', 'feed 9 12 4.2', 'rapid 9 12 4.8', 'rapid 13 17 4.8', 'feed 13 17 4.2', 'rapid 13 17 4.8']],
    ['table 10', 'G0 X30 Y1 Z-0.5', 'g91 g81 x3 y2 z-0.8 r1.5 l2 f60', ['rapid 30 1 1', 'rapid 33 3 1', 'feed 33 3 0.2', 'rapid 33 3 1', 'rapid 36 5 1', 'feed 36 5 0.2', 'rapid 36 5 1']],
    ['appendix C.3', 'G20', 'F60 G90 G81 X3 Y4 R0.2 Z-1.1\nX1 Y0 R0 G91 L3\nY-2 R0.1', [
      'rapid 0 0 0.2', 'rapid 3 4 0.2', 'feed 3 4 -1.1', 'rapid 3 4 0.2',
      'rapid 4 4 0.2', 'feed 4 4 -0.9', 'rapid 4 4 0.2', 'rapid 5 4 0.2', 'feed 5 4 -0.9', 'rapid 5 4 0.2', 'rapid 6 4 0.2', 'feed 6 4 -0.9', 'rapid 6 4 0.2',
      'rapid 6 4 0.3', 'rapid 6 2 0.3', 'feed 6 2 -0.8', 'rapid 6 2 0.3'], 25.4],
  ]
  for (const [name, start, program, expected, unit] of cases) {
    test(name, () => {
      const result = moves(`${start}\n${program}`, unit)
      expect(result.told).toEqual([])
      expect(result.moves.slice(moves(start, unit).moves.length)).toEqual(expected)
    })
  }
})

const at = 'G0 Z10\nM3 S100 F60\n'

describe('each cycle: NISTIR 6556 3.5.16.4 to 3.5.16.10; G73, G74, G76 common practice', () => {
  const cases: readonly [program: string, expected: readonly string[], dwell?: number][] = [
    ['G82 X1 Z-1 R2 P500', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 10'], 0.5],
    ['G99 G81 X1 Z-1 R2\nX2', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 2', 'rapid 2 0 2', 'feed 2 0 -1', 'rapid 2 0 2']],
    ['G99 G81 X1 Z-1 R2\nG98 X2', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 2', 'rapid 2 0 2', 'feed 2 0 -1', 'rapid 2 0 10']],
    ['G99 G83 X1 Z-5 R2 Q3', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 2', 'rapid 1 0 -0.746', 'feed 1 0 -4', 'rapid 1 0 2', 'rapid 1 0 -3.746', 'feed 1 0 -5', 'rapid 1 0 2']],
    ['G99 G73 X1 Z-5 R2 Q4', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -2', 'rapid 1 0 -1.746', 'feed 1 0 -5', 'rapid 1 0 2']],
    ['G84 X1 Z-1 R2', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'feed 1 0 2', 'rapid 1 0 10']],
    ['M4 G74 X1 Z-1 R2', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'feed 1 0 2', 'rapid 1 0 10']],
    ['G85 X1 Z-1 R2', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'feed 1 0 2', 'rapid 1 0 10']],
    ['G86 X1 Z-1 R2 P1000', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 10'], 1],
    ['G88 X1 Z-1 R2 P1000', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 10'], 1],
    ['G89 X1 Z-1 R2 P1000', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'feed 1 0 2', 'rapid 1 0 10'], 1],
    ['G76 X1 Z-1 R2 I0.5', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1.5 0 -1', 'rapid 1.5 0 10', 'rapid 1 0 10']],
    ['G87 X1 Z-3 R2 I0.5 K-1', ['rapid 1 0 10', 'rapid 1.5 0 10', 'rapid 1.5 0 -3', 'rapid 1 0 -3', 'feed 1 0 -1', 'feed 1 0 -3', 'rapid 1.5 0 -3', 'rapid 1.5 0 10', 'rapid 1 0 10']],
    ['G18 G81 X1 Z2 Y-1 R2', ['rapid 0 2 10', 'rapid 1 2 2', 'feed 1 -1 2', 'rapid 1 2 2']],
    ['G81 X1 Z-1 R2\nG80\nG0 X5', ['rapid 1 0 10', 'rapid 1 0 2', 'feed 1 0 -1', 'rapid 1 0 10', 'rapid 5 0 10']],
  ]
  for (const [program, expected, dwell] of cases) {
    test(program.replaceAll('\n', ' | '), () => {
      const result = moves(at + program)
      expect(result.told).toEqual([])
      expect(result.moves.slice(1)).toEqual(expected)
      expect(result.seconds).toBe(dwell ?? 0)
    })
  }
  test('the spindle turns the other way while a tap comes out', () => {
    const flags = run(`${at}G86 X1 Z-1 R2`, { control: { rapid: 'straight' } }).toolpath.flags
    expect([...flags].map(bits => bits & 2)).toEqual([0, 2, 2, 2, 0])
  })
})

describe('what a cycle does not take: NISTIR 6556 3.5.16', () => {
  const cases: readonly [program: string, told: readonly string[], words: string, wish?: RunWish][] = [
    ['G81', ['cycle-misuse "G81"'], 'names no X, Y or Z'],
    ['G81 X1 R2', ['cycle-misuse "G81"'], 'needs Z in the first block'],
    ['G81 X1 Z-1', ['cycle-misuse "G81"'], 'needs R in the first block'],
    ['G82 X1 Z-1 R2 P-1', ['cycle-misuse "P-1"'], 'a time is not negative'],
    ['G81 X1 Z-1 R2 L0', ['cycle-misuse "L0"'], '1 or more in L, not 0'],
    ['G81 X1 Z-1 R2 L1.5', ['cycle-misuse "L1.5"'], 'not 1.5'],
    ['G81 X1 Z-1 R2 A5', ['cycle-misuse "G81"'], 'turns a rotary axis'],
    ['G93 G81 X1 Z-1 R2', ['cycle-misuse "G81"'], 'inverse-time'],
    ['G81 X1 Z-1 R-2', ['cycle-misuse "R-2"'], 'starts at R -2 mm, below its bottom at Z -1 mm'],
    ['G83 X1 Z-1 R2', ['cycle-misuse "G83"'], 'depth of a peck in Q'],
    ['G83 X1 Z-1 R2 Q0', ['cycle-misuse "Q0"'], 'above zero'],
    ['M4 G84 X1 Z-1 R2', ['cycle-misuse "G84"'], 'M3 is not in force'],
    ['M5 G86 X1 Z-1 R2', ['cycle-misuse "G86"'], 'does not turn'],
    ['G76 X1 Z-1 R2 Q1', ['not-checked "G76 X1 Z-1 R2 Q1"'], 'the machine decides which way'],
    ['G87 X1 Z-1 R2 Q1', ['not-checked "G87 X1 Z-1 R2 Q1"'], 'not simulated'],
  ]
  for (const [program, told, words, wish] of cases) {
    test(program, () => {
      const result = run(at + program, wish)
      expect(result.told).toEqual(told)
      expect(result.problems[0].message).toContain(words)
    })
  }
})
