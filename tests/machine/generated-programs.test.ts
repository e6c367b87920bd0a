import { describe, expect, test } from 'vitest'
import { BlockReader } from '../../server/engine/nc/block-reader.ts'
import { respelled, validProgram } from '../harness/random-program.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { run, testTool } from './run-program.ts'

// Random valid programs: read, printed in another spelling, read again: the same motions, findings and state.

const setup = { offsets: { G54: { X: 1 }, G55: { Z: 9 } }, tools: [testTool(1, 40), testTool(2, 60)] }

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
