import { describe, expect, test } from 'vitest'
import { CHECKPOINT_BLOCKS } from '../../server/engine/machine/interpreter.ts'
import { run } from './run-program.ts'
import type { RunWish } from './run-program.ts'

// Jumps, loops and calls: common practice; NISTIR 6556 has none. Each program, and the X it comes to one after the other.

function way(program: string, wish?: RunWish): { xs: string, told: readonly string[], lines: string } {
  const result = run(program, wish), width = result.toolpath.axes.length
  const xs: number[] = []
  for (let i = 0; i < result.toolpath.count; i++) xs.push(Math.round((result.toolpath.joints[(i + 1) * width] ?? Number.NaN) * 1e6) / 1e6)
  return { xs: xs.join(' '), told: result.told, lines: [...result.toolpath.line].map(line => line + 1).join(' ') }
}

const go = 'G1 F60\n'

describe('jumps and loops', () => {
  const cases: readonly [name: string, program: string, xs: string][] = [
    ['GOTO forward', `${go}GOTO 20\nN15 X1\nN20 X2`, '2'],
    ['IF holds', `${go}#1=3\nIF [#1 GT 2] GOTO 20\nX1\nN20 X2`, '2'],
    ['IF does not hold', `${go}#1=1\nIF [#1 GT 2] GOTO 20\nX1\nN20 X2`, '1 2'],
    ['IF without blanks', `${go}#1=3\nIF[#1GT2]GOTO20\nX1\nN20X2`, '2'],
    ['a jump back counts', `${go}#1=0\nN10 #1=#1+1\nX#1\nIF [#1 LT 4] GOTO 10\nX9`, '1 2 3 4 9'],
    ['IF THEN', `${go}#1=2\nIF [#1 EQ 2] THEN #1=7\nIF [#1 EQ 2] THEN #1=8\nX#1`, '7'],
    ['IF THEN a word', `${go}IF [1 LT 2] THEN X5\nIF [2 LT 1] THEN X6`, '5'],
    ['a target worked out', `${go}#1=20\nGOTO #1\nN1 X1\nN20 GOTO [#1+10]\nN2 X2\nN30 X3`, '3'],
    ['WHILE', `${go}#1=1\nWHILE [#1 LE 3] DO1\nX#1\n#1=#1+1\nEND1\nX9`, '1 2 3 9'],
    ['WHILE that never holds', `${go}WHILE [1 GT 2] DO1\nX1\nEND1\nX9`, '9'],
    ['loops in a loop', `${go}#1=1\nWHILE [#1 LE 2] DO1\n#2=1\nWHILE [#2 LE 2] DO2\nX[#1*10+#2]\n#2=#2+1\nEND2\n#1=#1+1\nEND1`, '11 12 21 22'],
    ['a loop left by a jump', `${go}#1=1\nDO1\nX#1\n#1=#1+1\nIF [#1 GT 3] GOTO 50\nEND1\nN50 X9`, '1 2 3 9'],
    ['a condition on the position ends the loop', `${go}G91\nWHILE [#5041 LT 3] DO1\nX1\nEND1\nG90 X9`, '1 2 3 9'],
    ['comments do not hide the target', `${go}GOTO 7 (OVER)\nN6 X1\n/N7 X2 (GOTO 8)`, '2'],
  ]
  for (const [name, program, xs] of cases) {
    test(name, () => expect(way(program)).toMatchObject({ xs, told: [] }))
  }
})

describe('calls', () => {
  const cases: readonly [name: string, program: string, xs: string, wish?: RunWish][] = [
    ['M98 and M99', `${go}M98 P100\nX9\nM30\nO100\nX1\nM99`, '1 9'],
    ['as often as L says', `${go}G91\nM98 P100 L3\nM30\nO100 X1\nM99`, '1 2 3'],
    ['the count in front of the number', `${go}G91\nM98 P30100\nM30\nO100 X1\nM99`, '1 2 3'],
    ['the motion of the block comes first', `${go}X5 M98 P100\nM30\nO100\nX1\nM99`, '5 1'],
    ['calls in a call', `${go}M98 P100\nX9\nM30\nO100\nM98 P200\nX2\nM99\nO200\nX1\nM99`, '1 2 9'],
    ['back to a block', `${go}M98 P100\nX1\nN50 X9\nM30\nO100\nX2\nM99 P50`, '2 9'],
    ['M98 shares the local variables', `${go}#1=4\nM98 P100\nX#1\nM30\nO100\n#1=5\nX[#1+1]\nM99`, '6 5'],
    ['G65 has local variables of its own', `${go}#1=4\nG65 P100 A7 X8\nX#1\nM30\nO100\nX#1\nX#24\n#1=5\nM99`, '7 8 4'],
    ['G65 with every letter', `${go}G65 P100 A1 B2 C3 I4 J5 K6 D7 E8 F9 H11 M13 Q17 R18 S19 T20 U21 V22 W23 X24 Y25 Z26\nM30\nO100\n#100=1\nWHILE [#100 LE 26] DO1\nIF [#[#100] EQ #0] GOTO 5\nX#[#100]\nN5 #100=#100+1\nEND1\nM99`,
      '1 2 3 4 5 6 7 8 9 11 13 17 18 19 20 21 22 23 24 25 26'],
    ['G65 with several I J K', `${go}G65 P100 A1 I4 J5 K6 I7 K9\nM30\nO100\nX#4\nX#7\nX#9\nM99`, '4 7 9'],
    ['an argument left out takes its word away', `${go}G65 P100 A1\nX9\nM30\nO100\nIF [#2 EQ #0] THEN #2=3\nX#2\nM99`, '3 9'],
    ['G66 after each motion until G67', `${go}G66 P100 A5\nX1\nG4 P1\nX2\nG67\nX3\nM30\nO100\nG91 X#1\nG90\nM99`, '1 6 2 7 3'],
    ['a file of its own', `${go}M98 P7\nX9\nM30`, '1 9', { files: { 7: '%\nO7\nX1\nM99\n%' } }],
    ['a file without the end that returns', `${go}M98 P7\nX9\nM30`, '1 9', { files: { 7: 'X1' } }],
    ['a target in the file, not in the program', `${go}M98 P7\nN5 X9\nM30`, '2 9', { files: { 7: 'GOTO 5\nX1\nN5 X2\nM99' } }],
    ['jumps stay in their program', `${go}M98 P100\nN5 X9\nM30\nO100\nGOTO 5\nX1\nN5 X2\nM99`, '2 9'],
    ['M30 in a called program ends all', `${go}M98 P100\nX9\nM30\nO100\nX1\nM30`, '1'],
    ['block skip switched on', `${go}/X1\n/2 X2\nX3`, '1 3', { control: { blockSkip: [2] } }],
  ]
  for (const [name, program, xs, wish] of cases) {
    test(name, () => {
      const { xs: got, told } = way(program, wish)
      expect(got).toBe(xs)
      expect(told.filter(each => wish?.files === undefined || !each.startsWith('not-checked "P7"'))).toEqual([])
    })
  }

  test('motions know their line and their call', () => {
    const { toolpath } = run(`${go}M98 P100\nX9\nM98 P100\nM30\nO100\nX1\nM98 P200\nM99\nO200 X2\nM99`)
    expect([...toolpath.line].map(line => line + 1)).toEqual([7, 10, 3, 7, 10])
    expect([...toolpath.callOf ?? []]).toEqual([0, 1, -1, 2, 3])
    expect(toolpath.calls).toEqual([
      { parent: -1, line: 1, program: 100 }, { parent: 0, line: 7, program: 200 }, { parent: -1, line: 3, program: 100 }, { parent: 2, line: 7, program: 200 },
    ])
  })

  test('motions of a file count for the line that calls it, and its findings name it', () => {
    const result = run(`${go}M98 P7\nM30`, { files: { 7: 'X1\nG77\nM99' } })
    expect([...result.toolpath.line]).toEqual([1])
    expect(result.toolpath.calls).toEqual([{ parent: -1, line: 1, program: 7, target: 'O7.nc' }])
    expect(result.problems.find(problem => problem.rule === 'unknown-code')).toMatchObject({ file: 'O7.nc', span: { start: 3, end: 6 } })
  })
})

test('a finding in a called program names the calls that led there', () => {
  const text = `${go}M98 P100\nM30\nO100\nM98 P200\nM99\nO200\nX1 S-5\nM99`
  const { problems } = run(text)
  expect(problems.map(({ rule, related }) => [rule, ...(related ?? []).map(each => `${text.slice(each.span.start, each.span.end)}: ${each.message}`)])).toEqual([
    ['malformed-number', 'M98 P200: O200 is called here.', 'M98 P100: O100 is called here.'],
  ])
})

describe('loops that never end', () => {
  const cases: readonly [name: string, program: string, xs: string, told: readonly string[]][] = [
    ['GOTO to itself', `${go}N10 GOTO 10\nX1`, '1', ['endless-loop "GOTO 10"']],
    ['nothing in the condition changes', `${go}#1=1\nWHILE [#1 LT 5] DO1\nX1\nX2\nEND1\nX9`, '1 2 1 2 9', ['endless-loop "END1"']],
    ['the same value is stored again', `${go}#1=1\nN10 #1=1\nX#1\nIF [#1 EQ 1] GOTO 10\nX9`, '1 9', ['endless-loop "IF [#1 EQ 1] GOTO 10"']],
    ['DO without a way out', `${go}DO1\nX1\nEND1\nX9`, '1 9', ['endless-loop "END1"']],
  ]
  for (const [name, program, xs, told] of cases) {
    test(name, () => expect(way(program)).toMatchObject({ xs, told }))
  }

  test('a loop that counts away from its end is left at the limit', () => {
    const { xs, told } = way(`${go}#1=1\nN10 #1=#1+1\nIF [#1 GT 0] GOTO 10\nX9`)
    expect(xs).toBe('9')
    expect(told).toEqual(['endless-loop "IF [#1 GT 0] GOTO 10"'])
  })

  test('a program that calls itself', () => {
    const { told, xs } = way(`${go}M98 P100\nG90 G0 X0 Y0 Z0 A0 C0\nX9\nM30\nO100\nM98 P100\nM99`)
    expect(told).toEqual(['call-too-deep "P100"'])
    expect(xs.endsWith('9')).toBe(true)
  })

  test('the machine file says how deep', () => {
    expect(way(`${go}M98 P1\nM30\nO1\nM98 P2\nM99\nO2\nM99`, { control: { callDepth: 1 } }).told).toEqual(['call-too-deep "P2"'])
  })

  test('a program that calls itself three times would run a million times before it stands too deep', () => {
    const { told } = way(`${go}M98 P1\nM30\nO1\nX1.\nM98 P1\nM98 P1\nM98 P1\nM98 P1\nM98 P1\nM99`)
    expect(told.some(problem => problem.startsWith('endless-loop'))).toBe(true)
  })
})

describe('what is said once', () => {
  test('a fault in a loop', () => {
    expect(way(`${go}#1=0\nN10 #1=#1+1\nX#1 J1.1.1\nIF [#1 LT 30] GOTO 10`).told).toEqual(['malformed-number "J1.1.1"'])
  })
  test('a fault in blocks that are jumped over', () => {
    expect(way(`${go}GOTO 20\nX1.1.1\nX#77\nN20 X2`).told).toEqual(['malformed-number "X1.1.1"', 'unreachable-block "X#77"'])
  })
  test('a condition that is not known', () => {
    const { xs, told } = way(`${go}IF [#500 EQ 1] GOTO 20\nX1\nN20 X2`)
    expect(xs).toBe('1 2')
    expect(told).toEqual(['undefined-variable "[#500 EQ 1]"', 'not-checked "IF [#500 EQ 1] GOTO 20"'])
  })
  test('a loop whose condition is not known is gone through once', () => {
    expect(way(`${go}WHILE [#5061 EQ 1] DO1\nX1\nEND1\nX9`).xs).toBe('1 9')
  })
  test('a control without jumps', () => {
    expect(way(`${go}GOTO 20\nX1\nN20 X2`, { control: { jumps: false } })).toMatchObject({ xs: '1 2', told: ['not-checked "GOTO 20"'] })
  })
})

test('the state before any line, also behind loops and calls', () => {
  const lines = ['G90 G1 F60', '#1=0', 'WHILE [#1 LT 1500] DO1', '#1=#1+1', 'X#1', 'M98 P100', 'END1', 'G91', 'X1', 'G90 X[#1+#100]', 'M30', 'O100', '#100=#1*2', 'Y#100', 'M99']
  const states: string[] = []
  const result = run(lines.join('\n'), {}, ({ block, before }) => { states[block.line] ??= JSON.stringify(before) })
  expect(result.told).toEqual([])
  expect(result.final.joints[0]).toBe(4500)
  for (let line = 0; line < lines.length; line++) expect(JSON.stringify(result.stateAt(line)), `line ${line}`).toBe(states[line])
})

test('the state behind a call that stands behind a long stretch of a called program', () => {
  const long = Array.from({ length: 2 * CHECKPOINT_BLOCKS }, (_, i) => `X${i % 7}`)
  const lines = ['G90 G1 F60', 'M98 P100', 'M30', 'O100', ...long, 'M98 P200', 'Y1', 'M99', 'O200', 'Z1.1.1', 'Y5', 'M98 P300', 'M99', 'O300', 'Z1', 'M99']
  const states: string[] = []
  const result = run(lines.join('\n'), {}, ({ block, before }) => { states[block.line] ??= JSON.stringify(before) })
  expect(result.told).toEqual(['malformed-number "Z1.1.1"'])
  for (let line = lines.length - 12; line < lines.length; line++) expect(JSON.stringify(result.stateAt(line)), `line ${line}`).toBe(states[line])
})
