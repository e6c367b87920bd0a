import { describe, expect, test } from 'vitest'
import { codes } from '../../server/engine/nc/codes.ts'
import { addresses, addressOf } from '../../server/engine/nc/addresses.ts'
import { evaluateExpression } from '../../server/engine/nc/expression.ts'
import { run, testTool } from './run-program.ts'
import type { RunWish } from './run-program.ts'

// What NISTIR 6556 and the lists of EIA RS-274-D and ISO 6983-1 say, clause by clause, as far as no other test has it; and
// where the trade is more lenient than the report, what is done instead.

const at = (program: string, wish?: RunWish) => {
  const result = run(program, wish), axes = result.toolpath.axes
  return { told: result.told, ...Object.fromEntries(axes.map((letter, j) => [letter, Math.round((result.final.joints[j] ?? Number.NaN) * 1e9) / 1e9])) } as { told: readonly string[] } & Record<string, number>
}

describe('the report, kept to', () => {
  const cases: readonly [clause: string, program: string, where: Readonly<Record<string, number>>, wish?: RunWish][] = [
    ['3.1: M2 ends, what follows is not executed', 'G1 X5 F60\nM2\nX9', { X: 5 }],
    ['3.1: a lone % may stand around the program', '%\nG1 X5 F60\n%\nX9', { X: 5 }],
    ['3.3.2.1: a code within 0.0001 of a whole one is that code', 'G1.00004 X5 F60', { X: 5 }],
    ['3.3.4: a message is a comment', 'G1 (MSG, LOOK) X5 ( m s g, here) F60', { X: 5 }],
    ['3.4: a motion code that is only in force rests in a block of G92', 'G1 X4 F60\nG92 X7', { X: 4 }],
    ['3.4: and in a block of G10', 'G1 X4 F60\nG10 L2 P2 X7', { X: 4 }],
    ['3.5.3.2: X10 Y15 R20 Z5 in G17', 'G21 G1 X1 Y2 F60\nG17 G2 X10 Y15 R20 Z5', { X: 10, Y: 15, Z: 5 }],
    ['3.5.5: P1 X3.5 Y17.2 whatever was there', 'G10 L2 P1 X9 Y9 Z9\nG10 L2 P1 X3.5 Y17.2\nG54 G1 X0 Y0 Z0 F60', { X: 3.5, Y: 17.2, Z: 9 }],
    ['3.5.18: G91 does not change G92', 'G1 X4 F60\nG91 G92 X7\nG90 X0', { X: -3 }],
    ['3.5.20 and 3.5.16: L does not stay', 'G91 G99 G81 X1 Z-1 R1 L3 F60\nX1', { X: 4 }],
    ['3.5.16.1: X or Y alone is enough, the other stays', 'G81 X1 Y2 Z-1 R1 F60\nX5', { X: 5, Y: 2 }],
    ['table 8: the work offset comes before G92', 'G92 X0 G55', { X: 0 }, { setup: { offsets: { G54: {}, G55: { X: 10 } } } }],
    ['table 8: the units come before the motion', 'G1 X1 F60 G20', { X: 25.4 }],
    ['table 8: the distance mode comes before the motion', 'G1 X1 F60\nX1 G91', { X: 2 }],
    ['table 8: the end comes after the motion', 'M30 G1 X5 F60', { X: 5 }],
    ['table 8: the plane comes before the arc', 'G1 X10 F60\nG3 X0 Z10 I-10 G18', { X: 0, Z: 10 }],
  ]
  for (const [clause, program, where, wish] of cases) {
    test(clause, () => expect(at(program, wish)).toMatchObject({ ...where, told: [] }))
  }

  const told: readonly [clause: string, program: string, told: readonly string[], wish?: RunWish][] = [
    ['3.3.2.1: 0.0001 away is another code', 'G1.001', ['unknown-code "G1.001"']],
    ['3.3.4: a comment must close on its line', 'G1 (OPEN', ['unclosed-comment "("']],
    ['3.5.3.1: R without an axis of the plane', 'G1 X1 F60\nG2 R5', ['arc-without-centre "R5"']],
    ['3.5.8: G30 while compensation is on', 'G0 X-9 Y-9\nG41 D0 G1 X0 F60\nG30', ['radius-compensation-misuse "G30"', 'not-checked "G30"'], { setup: {} }],
    ['3.5.10: a length offset while compensation is on', 'G0 X-9 Y-9\nG41 D0 G1 X0 F60\nG49', ['radius-compensation-misuse "G49"'], { setup: {} }],
    ['3.5.16: a cycle while compensation is on', 'G0 X-9 Y-9\nG41 D0 G1 X0 F60\nG81 Y1 Z-1 R1', ['cycle-misuse "G81"'], { setup: {} }],
    ['3.5.16: a dwell is not negative in G89 either', 'G89 X1 Z-1 R1 P-2 F60', ['cycle-misuse "P-2"']],
    ['3.5.19: what other lines say of F under G93 is no matter', 'G93\nG0 X5\nG4 P1', []],
    ['3.6.3: T0 empties the spindle', 'T0 M6', [], { setup: { tools: [testTool(1, 40)] } }],
  ]
  for (const [clause, program, expected, wish] of told) {
    test(clause, () => expect(run(program, wish).told).toEqual(expected))
  }

  test('3.6.3: at a tool change the axes stay where they are', () => {
    const { final, motions } = run('G1 X5 A3 F60\nT1 M6')
    expect(final.joints[0]).toBe(5)
    expect(motions).toHaveLength(1)
  })

  test('table 8: M6 stops the spindle before M3 of the same block starts it', () => {
    expect(run('M3 T1 M6').final.spindle).toBe('clockwise')
    expect(run('M3\nT1 M6').final.spindle).toBe('stopped')
  })

  test('table 8: feed, speed, tool and spindle come before the motion of the block', () => {
    const { toolpath } = run('G1 X10 M3 S100 F600')
    expect([toolpath.seconds[0], toolpath.flags[0] & 2]).toEqual([1, 2])
  })

  test('2.1.2.2: 370 is another place than 10', () => {
    expect(run('G1 C10 F600\nC370').motions[1]).toBe('2 joints C370 36s')
  })

  test('2.1.2.10 and 4.3.3.3: a change of units moves nothing and converts no stored feed', () => {
    const { final, motions } = run('G21 G1 X25.4 F100\nG20')
    expect([final.feed, final.position.X, motions.length]).toEqual([100, 25.4, 1])
  })

  test('3.5.9 and table 2: 5181 holds the second home', () => {
    expect(at('G1 X#5183 F60', { secondHome: [0, 0, 77, 0, 0] })).toMatchObject({ X: 77, told: [] })
  })
})

describe('3.3.2.3: three levels of operators, from left to right inside a level', () => {
  const cases: readonly [text: string, value: number][] = [
    ['[2*3**2]', 18], ['[2**3**2]', 64], ['[10-4-3]', 3], ['[24/4/2]', 3], ['[2*7 MOD 4]', 2], ['[7 MOD 4*2]', 6], ['[1+2*3 MOD 4]', 3],
    ['[1 OR 0 AND 0]', 0], ['[0 AND 0 OR 1]', 1], ['[1+1 AND 2-2]', -1], ['[3 AND 0.5]', 1], ['[1 XOR 1+5]', 5],
  ]
  for (const [text, value] of cases) {
    test(`${text} = ${value}`, () => {
      const answer = evaluateExpression(text)
      expect(answer.kind === 'value' ? answer.value : answer).toBe(value)
    })
  }
  // 3.3.2.3 and 3.3.2.4 leave it open: common practice.
  test.each([['[-7 MOD 4]', 1], ['round[2.5]', 3], ['round[-2.5]', -3]])('%s = %d, which the report does not say', (text, value) => {
    const answer = evaluateExpression(text)
    expect(answer.kind === 'value' ? answer.value : answer).toBe(value)
  })
})

describe('more lenient than the report, as the trade is', () => {
  const lenient: readonly [departsFrom: string, program: string, where: Readonly<Record<string, number>>, wish?: RunWish][] = [
    ['3.3: a line may be longer than 256 characters', `G1 X5 F60${' '.repeat(300)}Y2`, { X: 5, Y: 2 }],
    ['3.3: N may stand behind other words', 'G1 N7 X5 F60', { X: 5 }],
    ['3.3.1: N may have more than five digits', 'N1234567 G1 X5 F60', { X: 5 }],
    ['3.3.4: more than one comment counts', '(ONE) G1 (TWO) X5 F60 (THREE)', { X: 5 }],
    ['table 3: O is a program number', 'O1234\nG1 X5 F60', { X: 5 }],
    ['table 3: U, V and W are axes where the machine has them', 'G1 U5 F60', { U: 5 }, { axes: 'XYZU' }],
    ['3.5.1 and 3.5.2: G0 and G1 may stand alone, to be in force', 'G1\nF60\nX5', { X: 5 }],
    ['3.5.3.2: a full circle needs no axis word', 'G1 X10 F60\nG2 I-10', { X: 10 }],
    ['3.5.8: G28 may have a motion code in force beside it', 'G1 X5 F60\nG28 X7', { X: 0 }],
    ['3.5.10: D may stand without G41 or G42', 'D3\nG1 X5 F60', { X: 5 }],
    ['3.5.11: H may stand without G43', 'G43 H0\nH0 G1 X5 F60', { X: 5 }],
    ['3.5.9: a probing move without X, Y or Z is none', 'G38.2', { X: 0 }],
    ['4.2.1: the program need not name its units: they are those of the sheet', 'G1 X1 F60', { X: 25.4 }, { setup: { unit: 25.4 } }],
  ]
  for (const [departsFrom, program, where, wish] of lenient) {
    test(`departs from ${departsFrom}`, () => expect(at(program, wish)).toMatchObject({ ...where, told: [] }))
  }
})

describe('EIA RS-274-D and ISO 6983-1: what the lists leave unassigned has no meaning here either', () => {
  test.each(['G5', 'G7', 'G11', 'G12', 'G25', 'G26', 'G27', 'G29', 'G36', 'G37', 'G38', 'G39'])('%s', code => {
    expect(run(code).told).toEqual([`unknown-code "${code}"`])
  })
  test('G6, parabolic, is not simulated, and that is said', () => expect(run('G6 X5').told[0]).toMatch(/^(?:unknown-code|not-checked) "G6/))

  // The trade's meanings that differ from the standard's are data of the machine file.
  const dialect: readonly [program: string, x: number, wish?: RunWish][] = [
    ['G70 G1 X1 F60', 25.4], ['G71 G1 X1 F60', 1], ['G20 G1 X1 F60', 25.4],
    ['G20 G1 X1 F60', 1, { control: { inch: ['G70'], metric: ['G71'] } }],
  ]
  test.each(dialect)('%s: X %d', (program, x, wish) => expect(at(program, wish).X).toBe(x))
  test('G20 means nothing where the machine file has other codes', () => {
    expect(run('G20', { control: { inch: ['G70'], metric: ['G71'] } }).told).toEqual(['unknown-code "G20"'])
  })
  test('G43 as length offset, G54 to G59 as work offsets, G98 and G99 as return level are told apart from the standard by their source', () => {
    expect(codes.find(each => each.code === 'G43')?.clause).toBe('NISTIR 6556 3.5.11')
    expect(codes.find(each => each.code === 'G54')?.clause).toBe('NISTIR 6556 3.5.13')
    expect(codes.find(each => each.code === 'G98')?.clause).toBe('NISTIR 6556 3.5.20')
  })
})

describe('the letters: DIN 66025, ISO 6983-1 and NISTIR 6556 table 3', () => {
  const meanings: readonly [letters: string, meaning: RegExp][] = [
    ['ABC', /^angle about [XYZ]$/], ['D', /tool function/], ['F', /feed/], ['G', /preparatory/], ['M', /miscellaneous/], ['IJK', /arc centre along [XYZ]/],
    ['N', /sequence number/], ['S', /spindle speed/], ['T', /tool/], ['UVW', /second axis parallel to [XYZ]/], ['XYZ', /position along [XYZ]/],
    // Left free by the standard; table 3 and common practice.
    ['H', /length offset/], ['L', /how often/], ['O', /program number/], ['P', /parameter/], ['Q', /parameter/], ['R', /radius/],
  ]
  test.each(meanings)('%s', (letters, meaning) => {
    for (const letter of letters) expect(addressOf(letter.charCodeAt(0))?.meaning).toMatch(meaning)
  })
  test('E is none, and there are no others', () => {
    expect(addresses.map(each => each.letter).join('')).toBe('ABCDFGHIJKLMNOPQRSTUVWXYZ')
    expect(run('E5').told).toEqual(['unknown-letter "E5"'])
  })
})
