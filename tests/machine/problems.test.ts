import { describe, expect, test } from 'vitest'
import { usualVariables } from '../../shared/usual-variables.ts'
import { run, testTool } from './run-program.ts'
import type { RunWish } from './run-program.ts'

const tools = [testTool(1, 40), testTool(3, 60)]

describe('what the interpreter tells, and where', () => {
  const cases: readonly [program: string, told: readonly string[], words: string, wish?: RunWish][] = [
    ['G5 G1 X1 F1', ['unknown-code "G5"'], 'G5 is neither'],
    ['M123', ['unknown-code "M123"'], 'M123 is neither'],
    ['G1.05', ['unknown-code "G1.05"'], 'G1.05'],
    ['M3.5', ['unknown-code "M3.5"'], 'M3.5'],
    // NISTIR 6556 table 4: one code of each modal group in a block.
    ['G1 G0', ['modal-conflict "G0"'], 'G1 and G0 exclude each other in one block: both set the kind of motion. G0 is followed.'],
    ['G17 G18', ['modal-conflict "G18"'], 'the arc plane'],
    ['G90 G91', ['modal-conflict "G91"'], 'the distance mode'],
    ['G93 G94', ['modal-conflict "G94"'], 'the feed mode'],
    ['G20 G21', ['modal-conflict "G21"'], 'the units'],
    ['G40 G41 D0', ['modal-conflict "G41"'], 'radius compensation'],
    ['G43 G49 H0', ['modal-conflict "G49"'], 'the length offset'],
    ['G43.4 G49 H0', ['modal-conflict "G49"'], 'the length offset'],
    ['G54 G55', ['modal-conflict "G55"'], 'the work offset'],
    ['G98 G99', ['modal-conflict "G99"'], 'return level'],
    ['G61 G64', ['modal-conflict "G64"'], 'path control'],
    ['M3 M5', ['modal-conflict "M5"'], 'the spindle'],
    ['M7 M9', ['modal-conflict "M9"'], 'the coolant'],
    ['M0 M30', ['modal-conflict "M30"'], 'the stop'],
    ['G1 G1 F1', ['repeated-word "G1"'], 'G1 stands twice'],
    // NISTIR 6556 3.4: two users of the axis words.
    ['G1 G28 X1 F1', ['modal-conflict "G1"'], 'G1 and G28 both take the axis words'],
    ['G28 G53 Z0', ['modal-conflict "G53"'], 'G53 and G28 both take the axis words'],
    // NISTIR 6556 3.5.12: G53 only with G0 and G1.
    ['G2 G53 X1 I1', ['modal-conflict "G53"'], 'G53 goes with G0 or G1 only; G2 is in force'],
    ['G53 X1', ['modal-conflict "G53"'], 'no motion code is in force'],
    ['X1 F1 Y2 X3 G1', ['repeated-word "X3"'], 'X stands twice in the block: X1 and X3. X3 is followed.'],
    ['G1 X1 F1 B5', ['unknown-letter "B5"'], 'The machine "test machine" has no axis B (1 block)'],
    ['G55 G0 X1', ['unset-work-offset "G55"'], 'G55 is not among the offsets of the setup sheet (G54)', { setup: {} }],
    ['T2 M6', ['tool-not-in-setup "T2"'], 'Tool T2 is not among the tools of the setup sheet (T1, T3)', { setup: { tools } }],
    ['T2\nM6', ['tool-not-in-setup "M6"'], 'T2', { setup: { tools } }],
    ['G43 H2 G0 Z1', ['not-checked "H2"'], 'No tool of the setup sheet has the length offset H2', { setup: { tools } }],
    ['G43 G0 Z1', ['not-checked "G43 G0 Z1"'], 'without an H and without a known tool', { setup: { tools } }],
    ['G43 H1 G0 Z1', ['not-checked "H1"'], 'names no tools', { setup: {} }],
    ['G41 G1 X1 F1', ['not-checked "G41"'], 'the radius is not known'],
    ['X1', ['not-checked "X1"'], 'no motion code'],
    ['G80 X1', ['not-checked "G80 X1"'], 'no motion code'],
    ['G68 X0 Y0 R30', ['not-checked "G68"'], 'turned coordinates on'],
    ['G68.2 P2 Q1 X0 Y0 Z0', ['not-checked "G68.2"'], 'tilted working plane on'],
    ['G92', ['malformed-word "G92"'], 'G92 needs an axis word'],
    // NISTIR 6556 3.5.5.
    ['G10 L2 P10 X1', ['unset-work-offset "P10"'], 'P goes from 1 (G54) to 9 (G59.3)'],
    ['G10 L1 P1 R5', ['not-checked "G10"'], 'tool data'],
    ['S-5', ['malformed-number "S-5"'], 'S-5: a spindle speed is not negative'],
    ['H1.5', ['malformed-number "H1.5"'], 'a whole number, 0 or more'],
    ['G43 H-1', ['malformed-number "H-1"', 'not-checked "G43 H-1"'], 'the number of a length offset', { setup: { tools } }],
    ['D-2', ['malformed-number "D-2"'], 'the number of a radius offset'],
    // NISTIR 6556 3.3.5.
    ['M3 M8 M6 M48 M0', ['repeated-word "M0"'], '5 M codes'],
    ['T-1', ['malformed-number "T-1"'], 'T-1: a tool number is not negative'],
    // NISTIR 6556 3.5.9.
    ['G38.2 X10 F60', ['not-checked "G38.2 X10 F60"'], 'as if nothing were touched'],
    ['G38.2 X0.25 F60', ['cycle-misuse "G38.2 X0.25 F60"', 'not-checked "G38.2 X0.25 F60"'], 'moves 0.25 mm; it needs 0.254 mm'],
    ['G38.2 X5 A1 F60', ['cycle-misuse "G38.2 X5 A1 F60"', 'not-checked "G38.2 X5 A1 F60"'], 'turns a rotary axis'],
    ['G93 G38.2 X5 F60', ['cycle-misuse "G93 G38.2 X5 F60"', 'not-checked "G93 G38.2 X5 F60"'], 'inverse-time'],
    ['G65 P9 A1', ['missing-target "P9"'], 'Where the axes stand behind the call is not known'],
    ['M98 P12', ['missing-target "P12"'], 'Program O12 is neither in this text nor a file beside it'],
    ['M98', ['missing-target "M98"'], 'names no program'],
    ['GOTO 50\nX1', ['missing-target "GOTO 50"', 'not-checked "X1"'], 'N50 is not in this program'],
    ['WHILE [1 LT 2] DO1\nM30', ['missing-target "WHILE [1 LT 2] DO1"'], 'has no END1'],
    ['END2', ['missing-target "END2"'], 'has no DO2'],
    ['IF [1 EQ 1] X5', ['malformed-word "IF [1 EQ 1] X5"'], 'GOTO or THEN'],
    ['GOTO 1\nN1\nN1', ['duplicate-sequence-number "GOTO 1"'], 'stands in this program twice'],
    ['#5400000=1\n#5220=3', ['bad-expression "#5220=3"'], 'cannot be set'],
    ['#[1.5]=1', ['bad-expression "#[1.5]=1"'], '#1.5 is no variable'],
    ['G1 X#5400 F1', ['bad-expression "X#5400"'], 'beyond the variables', { control: { variables: { ...usualVariables, last: 5399 } } }],
    ['G1 X#2000 F1', ['not-checked "X#2000"'], '#2000 holds what only the machine knows'],
    ['G1 X#5061 F1', ['not-checked "X#5061"'], '#5061 holds what only the machine knows'],
    ['G1 X#500 F1', ['undefined-variable "X#500"'], '#500 is read before anything is stored in it'],
    ['G1 X#500 F1', ['undefined-variable "X#500"'], 'Nothing is taken for its value', { control: { variables: { ...usualVariables, unset: 'zero' } } }],
    ['#1=[4/0]', ['bad-expression "#1=[4/0]"'], 'it divides by zero'],
    // NISTIR 6556 E.2 does not derive a sign before a bracket or a variable.
    ['G1 X-[2] F1', ['bad-expression "X-[2]"'], 'belongs to a plain number', { control: { variables: { ...usualVariables, signBefore: false } } }],
    ['G1 X-#1 F1', ['bad-expression "X-#1"'], 'belongs to a plain number', { control: { variables: { ...usualVariables, signBefore: false } } }],
    ['G33 Z-5 K1\nX2', ['not-checked "G33"'], 'G33 (thread, constant lead) is not simulated (2 blocks)'],
    ['G53.1', ['modal-conflict "G53.1"'], 'no tilted plane is in force'],
    ['G96 S100', ['not-checked "G96"'], 'constant surface speed'],
    ['G4', ['not-checked "G4"'], 'no time'],
    ['G4 P-1', ['not-checked "G4"'], 'no time'],
    ['G0 X1 Y1 Z1 A1 C1\nG28 Z0', ['not-checked "G0 X1 Y1 Z1 A1 C1"', 'not-checked "G28"'], 'The machine file gives no home', { home: undefined }],
  ]
  for (const [program, told, words, wish] of cases) {
    test(program, () => {
      const result = run(program, wish)
      expect(result.told).toEqual(told)
      expect(result.problems[0].message).toContain(words)
    })
  }

  const silent: readonly [program: string, wish?: RunWish][] = [
    ['G1 M3 M8 G90 G17 G21 G94 G40 G49 G80 S1 F1'], ['G0 G90 G54 X0 Y0'], ['G61.1\nG64 P0.1'], ['M6 T1', { setup: { tools } }], ['T0 M6', { setup: { tools } }],
    ['G5.1 Q1', { control: { neutral: ['G5.1'] } }], ['M88', { control: { define: { M88: { says: 'clamp', effect: 'rotary-clamp' } } } }],
    ['T9 M6', { setup: { tools, toolsSetAside: [{ number: 9, name: 'odd', lengthOffset: 9, span: { start: 0, end: 0 } }] } }],
    ['G69\nG50\nG15'], ['G52 X0 Y0 Z0\nG0 X1'], ['G28 G91 Z0'], ['G55', {}], ['T2 M6'],
    ['G98', { control: { returnLevel: ['G98', 'G99'] } }], ['G80', { control: { cycles: ['G80', 'G81'] } }],
  ]
  for (const [program, wish] of silent) {
    test(`nothing about ${program}`, () => expect(run(program, wish).told).toEqual([]))
  }

  test('a control without subprograms does not know their codes', () => {
    expect(run('M98 P1', { control: { subprogram: [] } }).told).toEqual(['unknown-code "M98"'])
  })

  test('G0 beside G28 is common practice: milder', () => {
    const { problems } = run('G0 G28 G91 Z0')
    expect(problems.map(problem => [problem.rule, problem.level])).toEqual([['modal-conflict', 'warning']])
  })

  test('one cause in many blocks is told once, with its count', () => {
    const result = run('G5 G1 X1 F1\nG5 G5\nX2\nG5')
    expect(result.told).toEqual(['unknown-code "G5"'])
    expect(result.problems[0].message).toContain('(3 blocks)')
  })

  test('a rule that strikes without end is cut off', () => {
    const result = run('G1 X1.1.1 F1\n'.repeat(5000))
    expect(result.problems.length).toBe(501)
    expect(result.problems[500].message).toBe('4,500 more findings of "malformed-number" from here on are not listed.')
  })
})

describe('what is not known is not checked rather than wrong', () => {
  const cases: readonly [name: string, program: string, motions: readonly string[], wish?: RunWish][] = [
    ['without a home each axis is known from its first value', 'G0 X1\nY1 Z1\nA0 C0\nX2', ['1 joints-rapid? X1 Y? Z? A? C? 0s', '2 joints-rapid? Y1 Z1 A? C? 0s', '3 joints-rapid? A0 C0 0s', '4 joints-rapid X2 0.01s'], { home: undefined }],
    ['a value from a variable', 'G1 X#1 Y1 F60\nY2\nX0\nX1', ['1 joints? X? Y1 1s', '2 joints? X? Y2 1s', '3 joints? X0 0s', '4 joints X1 1s']],
    ['a number that cannot be read', 'G1 X1.1.1 Y1 F60\nX0\nX1', ['1 joints? X? Y1 1s', '2 joints? X0 0s', '3 joints X1 1s']],
    ['an unset offset', 'G55 G0 X1\nG54 X0 Y0 Z0 A0 C0\nX1', ['1 joints-rapid? X? Y? Z? A? C? 0s', '2 joints-rapid? X0 Y0 Z0 A0 C0 0s', '3 joints-rapid X1 0.01s'], { setup: {} }],
    ['a call', 'G1 X1 F60\nM98 P1\nY5\nX1 Y1 Z0 A0 C0\nX2', ['1 joints X1 1s', '3 joints? X? Y5 Z? A? C? 0s', '4 joints? X1 Y1 Z0 A0 C0 4s', '5 joints X2 1s']],
    ['a turned frame', 'G1 X1 F60\nG68 X0 Y0 R30\nX2\nG69\nX0 Y0 Z0 A0 C0\nX1', ['1 joints X1 1s', '3 joints? X? Y? Z? A? C? 1s', '5 joints? X0 Y0 Z0 A0 C0 0s', '6 joints X1 1s']],
    ['radius compensation', 'G41 G1 X1 F60\nG40 X0 Y0\nX1', ['1 joints-rapid? X? Y? 0s', '2 joints? X0 Y0 1s', '3 joints X1 1s']],
    ['a cycle at a depth that is not known', 'G81 X5 Y5 Z#1 R1 F60\nG0 Z1', ['1 joints-rapid? X5 Y5 Z? 0s', '2 joints-rapid? Z1 0s']],
    ['an arc from an unknown start', 'G2 X1 I#1 F60\nG1 X2', ['1 joints-rapid? X1 0s', '2 joints X2 1s']],
    ['home that is not known', 'G0 X1\nG28 X2\nX0', ['1 joints-rapid? X1 Y? Z? A? C? 0s', '2 joints-rapid? X2 Y? Z? A? C? 0.01s', '2 joints-rapid? X? Y? Z? A? C? 0s', '3 joints-rapid? X0 Y? Z? A? C? 0s'], { home: undefined }],
    ['tool-centre control without all axes known', 'G43.4 G1 X1 Y0 Z0 F60\nA0 C0\nX2', ['1 tool? X? Y? Z? A? C? 0s', '2 tool? X1 Y0 Z0 A0 C0 0s', '3 tool X2 1s'], { home: undefined }],
  ]
  for (const [name, program, motions, wish] of cases) {
    test(name, () => expect(run(program, wish).motions).toEqual(motions))
  }

  test('the unknown start is told once, with its count', () => {
    const result = run('G0 X1\nY1 Z1\nA0 C0\nX2', { home: undefined })
    expect(result.told).toEqual(['not-checked "G0 X1"'])
    expect(result.problems[0].message).toContain('3 motions are not checked, from here until every axis (X Y Z A C)')
  })
})
