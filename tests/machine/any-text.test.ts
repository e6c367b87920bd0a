import { describe, expect, test } from 'vitest'
import { SeededRandom } from '../harness/seeded-random.ts'
import { run, testTool } from './run-program.ts'

// Whatever the text: no throw, spans inside it, motions that hang together, the same answer each time.

const codes = ['G0', 'G1', 'G2', 'G3', 'G4', 'G17', 'G18', 'G19', 'G20', 'G21', 'G28', 'G30', 'G40', 'G41', 'G43', 'G43.4', 'G43.5', 'G49', 'G52', 'G53', 'G54', 'G55',
  'G56', 'G65', 'G68', 'G68.2', 'G69', 'G80', 'G81', 'G83', 'G90', 'G91', 'G92', 'G92.1', 'G93', 'G94', 'G95', 'G98', 'G10', 'G38.2', 'G77', 'M0', 'M3', 'M5', 'M6', 'M8', 'M98', 'M123']
const letters = [...'XYZABCIJKRPFSTHDLQUVW']

function randomProgram(random: SeededRandom): string {
  const lines = Array.from({ length: random.whole(1, 40) }, () => {
    const words = Array.from({ length: random.whole(0, 6) }, () => {
      const kind = random.whole(0, 9)
      if (kind < 3) return random.pick(codes)
      if (kind === 9) return random.pick(['X#1', '(c)', 'Y1.1.1', 'Z', '$', 'N7', 'M30', '%', '/', 'X[1+2]', 'F0', 'F-5', 'X9999999999999999999999'])
      return random.pick(letters) + random.pick([random.whole(-9, 9).toString(), random.between(-50, 50).toFixed(3), '0', '-0.0001'])
    })
    return words.join(random.pick(['', ' ']))
  })
  return lines.join(random.pick(['\n', '\r\n', '\r']))
}

describe('any program', () => {
  for (const seed of [11, 12, 13, 14]) {
    test(`400 programs, seed ${seed}`, () => {
      const random = new SeededRandom(seed)
      for (let n = 0; n < 400; n++) {
        const text = randomProgram(random)
        const wish = random.pick([{}, { home: undefined }, { setup: { offsets: { G54: { X: 1 }, G55: { C: 1 } }, tools: [testTool(1, 40), testTool(2, 50)] } },
          { axes: 'XYZ' }, { axes: 'XZC' }, { axes: 'XYZBC', control: { rotaryTravel: { C: 'shortest', B: 'sign-is-direction' }, rapid: 'straight', arcCentre: 'absolute' } }] as const)
        let motions = 0
        const result = run(text, wish, step => {
          expect(step.firstMotion, text).toBe(motions)
          expect(step.endMotion).toBeGreaterThanOrEqual(step.firstMotion)
          motions = step.endMotion
        })
        // A move that waits for its corner at the end of the text is made behind the last block.
        expect(result.toolpath.count).toBeGreaterThanOrEqual(motions)
        motions = result.toolpath.count
        expect(result.toolpath.joints.length).toBe((motions + 1) * result.toolpath.axes.length)
        for (const { span, message } of result.problems) {
          expect(span.start >= 0 && span.start <= span.end && span.end <= text.length, text).toBe(true)
          expect(message, text).not.toMatch(/undefined|NaN|\[object/)
        }
        for (let i = 0; i < motions; i++) {
          expect(result.toolpath.seconds[i], text).toBeGreaterThanOrEqual(0)
          const isUnknown = (result.toolpath.flags[i] & 16) !== 0
          const width = result.toolpath.axes.length
          const ends = result.toolpath.joints.slice(i * width, (i + 2) * width)
          expect(isUnknown || !ends.some(Number.isNaN), text).toBe(true)
          const at = result.toolpath.arcOf[i]
          if (at >= 0) expect(result.toolpath.arcs.slice(at * 12, at * 12 + 12).some(Number.isNaN) && !isUnknown, text).toBe(false)
        }
        const line = random.whole(0, 41)
        expect(JSON.stringify(result.stateAt(line))).toBe(JSON.stringify(run(text, wish).stateAt(line)))
        expect(run(text, wish).motions).toEqual(result.motions)
      }
    })
  }

  const hostile: readonly [name: string, text: string, rules: readonly string[]][] = [
    ['an empty text', '', []],
    ['bytes', '\0\u0001\u0002\u0003'.repeat(100_000), ['stray-text']],
    ['50 million characters in one line', 'G1 X1 '.repeat(8_333_333), ['stray-text']],
    ['a million broken lines', 'X1.1.1\n'.repeat(1_000_000), ['malformed-number', 'not-checked']],
    ['a million unknown codes', 'G77\n'.repeat(1_000_000), ['unknown-code']],
  ]
  for (const [name, text, rules] of hostile) {
    test(name, () => {
      const result = run(text)
      const told = new Set(result.problems.map(problem => problem.rule))
      for (const rule of rules) expect([...told]).toContain(rule)
      expect(result.problems.length).toBeLessThan(700)
    })
  }
})
