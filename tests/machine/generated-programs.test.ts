import { describe, expect, test } from 'vitest'
import { BlockReader } from '../../server/engine/nc/block-reader.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { run, testTool } from './run-program.ts'

// Random valid programs: read, printed in another spelling, read again: the same motions, findings and state.

const setup = { offsets: { G54: { X: 1 }, G55: { Z: 9 } }, tools: [testTool(1, 40), testTool(2, 60)] }

/** A program in which every block is allowed and every variable is set before it is read. */
function validProgram(random: SeededRandom): string[] {
  const number = () => random.pick([random.between(-80, 80).toFixed(3), random.whole(-50, 50).toString(), `${random.whole(0, 9)}.`])
  const value = () => random.pick([number, number, () => `#${random.whole(100, 104)}`, () => `[#${random.whole(100, 104)}+${random.whole(1, 9)}]`, () => `[${random.whole(1, 9)}*SIN[${random.whole(0, 90)}]]`])()
  const lines = ['G21 G90 G17 G94 G40', 'G54 T1 M6', 'G43 H1', 'M3 S1000 F500.', ...[100, 101, 102, 103, 104].map(index => `#${index}=${number()}`)]
  const kinds: (() => string[])[] = [
    () => [`G${random.whole(0, 1)} X${value()} Y${value()}`],
    () => [`G1 X${value()} Z${value()} A${value()} C${value()}`],
    () => [`#${random.whole(100, 104)}=${value()}`],
    () => ['G91', `G1 X${value()}`, 'G90'],
    () => ['G0 X0 Y0', `G${random.whole(2, 3)} X${random.whole(1, 9)}. Y0 I${random.whole(1, 9)}. J${random.whole(1, 9)}.`.replace(/X(\d+)\. Y0 I\d+\./, (_, x: string) => `X${x}. Y0 I${Number(x) / 2}`)],
    () => ['G80 G0 Z50.', `G${random.pick([81, 82, 85, 89])} X${value()} Y${value()} Z-5. R2. P100`, `X${value()}`, 'G80'],
    () => ['#1=0', 'WHILE [#1 LT 3] DO1', '#1=#1+1', `G1 X${value()}`, 'END1'],
    () => [`IF [#100 GT ${number()}] THEN #101=${number()}`],
    () => ['M98 P500 L2'],
    () => [`G65 P600 A${value()} X${value()}`],
    () => ['G43.4 H1', `G1 X${value()} Y${value()} Z${value()} A${random.whole(-20, 20)} C${random.whole(-90, 90)}`, 'G49', 'G43 H1'],
    () => [`G10 L2 P2 X${number()}`, random.pick(['G55', 'G54'])],
    () => [`G92 Y${number()}`, `G1 Y${number()}`, 'G92.1'],
  ]
  for (let n = random.whole(5, 40); n > 0; n--) lines.push(...random.pick(kinds)())
  return [...lines, 'M30', 'O500', 'G91', `G1 X${number()}`, 'G90', 'M99', 'O600', 'G1 X[#1+#24]', 'M99']
}

/** Another way to write the same block. */
function respelled(random: SeededRandom, line: string): string {
  let text = random.pick([(each: string) => each, (each: string) => each.toLowerCase(), (each: string) => each.replaceAll(' ', ''), (each: string) => each.replaceAll(' ', '\t ')])(line)
  // Names and keywords keep their neighbours apart from the words beside them.
  if (/^(O|#|IF|WHILE|END)/i.test(line) && !text.includes(' ') && !text.includes('\t')) text = line
  if (random.whole(0, 3) === 0) text = `${text} (${random.pick(['ROUGH', 'G0 X1', ''])})`
  return text
}

describe('a valid program', () => {
  for (const seed of [21, 22, 23]) {
    test(`150 programs, seed ${seed}: nothing is told, and another spelling is the same program`, () => {
      const random = new SeededRandom(seed)
      for (let n = 0; n < 150; n++) {
        const lines = validProgram(random), text = lines.join('\n'), first = run(text, { setup })
        expect(first.told, text).toEqual([])
        const second = run(lines.map(line => respelled(random, line)).join('\r\n'), { setup })
        expect(second.told).toEqual([])
        expect(second.motions, text).toEqual(first.motions)
        expect({ ...second.final, lengthOffsetSpan: undefined }).toEqual({ ...first.final, lengthOffsetSpan: undefined })
        const line = random.whole(0, lines.length)
        expect({ ...second.stateAt(line), lengthOffsetSpan: undefined }, `${text}\nbefore line ${line}`).toEqual({ ...first.stateAt(line), lengthOffsetSpan: undefined })
      }
    })
  }

  test('printed from its blocks and read again, seed 24', () => {
    const random = new SeededRandom(24)
    for (let n = 0; n < 200; n++) {
      const text = validProgram(random).filter(line => !/#|IF|WHILE|END/.test(line)).join('\n')
      const once = printed(text)
      expect(printed(once)).toBe(once)
      expect(run(once, { setup }).motions).toEqual(run(text, { setup }).motions)
    }
  })
})

/** The words as the reader has them. */
function printed(text: string): string {
  const reader = new BlockReader(text, { wholeNumber: { as: 'units' } }, () => undefined)
  const lines: string[] = []
  for (let block = reader.next(); block !== undefined; block = reader.next()) {
    lines.push(Array.from({ length: block.count }, (_, i) => `${String.fromCharCode(block.letters[i])}${block.values[i]}`).join(' '))
  }
  return lines.join('\n')
}

describe('mutated programs and random characters', () => {
  for (const seed of [31, 32]) {
    test(`at most 8 seconds, seed ${seed}: no throw, no hang, no span outside the text`, () => {
      const random = new SeededRandom(seed), end = performance.now() + 8000
      const pieces = ['#', '[', ']', '=', 'IF', 'GOTO', 'WHILE', 'DO1', 'END1', 'M98', 'M99', 'P500', 'G65', 'G66 P600', 'G67', 'G41 D1', 'G40', 'G81', 'L9', 'O500', 'N5', 'GOTO 5', '#0', '##', '<', '>', '1/0', '-', '.', '\n', ' ', '(', ')', '%', 'G38.2', 'G92', '/2', 'é', '\0']
      for (let n = 0; n < 600 && performance.now() < end; n++) {
        let text = validProgram(random).join('\n')
        for (let change = random.whole(1, 12); change > 0; change--) {
          const at = random.whole(0, text.length)
          text = text.slice(0, at) + random.pick([...pieces, '']) + text.slice(at + random.whole(0, 4))
        }
        const result = run(text, { setup })
        for (const { span, message, rule } of result.problems) {
          expect(span.start >= 0 && span.start <= span.end && span.end <= text.length, `${rule}\n${text}`).toBe(true)
          expect(message, text).not.toMatch(/undefined|NaN|\[object/)
        }
        expect(result.toolpath.joints.length).toBe((result.toolpath.count + 1) * 5)
        result.stateAt(random.whole(0, 60))
      }
    }, 20_000)
  }
})
