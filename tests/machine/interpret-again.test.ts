import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import type { Problem } from '../../shared/problem.ts'
import { interpretAgain } from '../../server/engine/machine/interpret-again.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import type { InterpretInput, Interpretation } from '../../server/engine/machine/interpreter.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { testMachine, testSetup, testTool } from './run-program.ts'
import type { MachineWish } from './run-program.ts'

// A run that goes on from the one before has to come to what a fresh run comes to, in every figure and word.

const seed = 20260802
const setup = testSetup({ tools: [testTool(1, 60), testTool(2, 45)], offsets: { G54: { Z: -100 }, G55: { X: 7, Z: -90 } } })

class Twin {
  readonly #wish: MachineWish
  readonly #machine
  readonly #kinematics
  constructor(wish: MachineWish = {}) {
    this.#wish = wish
    this.#machine = testMachine(this.#wish)
    this.#kinematics = buildKinematics(this.#machine, this.#machine.axes.map(axis => setup.offsets.G54[axis.letter] ?? 0))
  }

  input(problems: Problem[]): InterpretInput {
    return { machine: this.#machine, setup, kinematics: this.#kinematics, report: problem => { problems.push(problem) } }
  }

  fresh(text: string): { run: Interpretation, problems: Problem[] } {
    const problems: Problem[] = []
    return { run: interpret(text, this.input(problems)), problems }
  }

  again(previous: Interpretation, text: string): { run: Interpretation, problems: Problem[] } {
    const problems: Problem[] = []
    return { run: interpretAgain(previous, text, this.input(problems)), problems }
  }
}

function expectSame(again: ReturnType<Twin['again']>, fresh: ReturnType<Twin['fresh']>, lines: readonly number[]): void {
  expect(again.problems).toEqual(fresh.problems)
  expect(again.run.toolpath).toEqual(fresh.run.toolpath)
  expect(again.run.lineStarts).toEqual(fresh.run.lineStarts)
  expect(again.run.final).toEqual(fresh.run.final)
  expect([again.run.blockCount, again.run.complete, again.run.repeats]).toEqual([fresh.run.blockCount, fresh.run.complete, fresh.run.repeats])
  expect(again.run.dwellSeconds).toBeCloseTo(fresh.run.dwellSeconds, 9)
  for (const line of lines) expect(again.run.stateAt(line), `state before line ${line}`).toEqual(fresh.run.stateAt(line))
}

const word = (random: SeededRandom) => `${random.pick([...'XYZAC'])}${random.between(-50, 50).toFixed(random.whole(0, 3))}`

/** A block as a program has it; rarely one that changes what holds behind it, or that cannot be read. */
function block(random: SeededRandom): string {
  const kind = random.whole(0, 99)
  // The end of the program, or words nobody follows to the end: once in a few thousand blocks.
  if (random.whole(0, 3000) === 0) return random.pick(['%', 'M30', 'G68 R30'])
  if (kind < 84) return Array.from({ length: random.whole(1, 3) }, () => word(random)).join(' ')
  if (kind < 92) return `G${random.pick([0, 1])} ${word(random)} F${random.whole(100, 2000)}`
  return random.pick([
    'G2 X5 Y5 R9', 'G3 I4', 'G4 P200', '', '(COMMENT)', 'G5 X1', 'X1.2.3', 'G1 X', 'G90', 'G55 X1', 'G54', 'T2 M6', 'T1 M6', 'G43 H1', 'G43 H2 Z5', 'G49', 'M3 S500', 'M8', 'M5',
    'G91 X1\nG90', 'G41 D1\nX5 Y5\nX20\nG40 X0', '#101=5', 'X#101', 'X#500', 'G92 X0', 'G92.1', 'G81 X1 Y1 Z-5 R2', 'G80', '/X4', 'N10 X1', 'G69', 'G17', 'G18', 'H9', '$',
  ])
}

const start = 'G21 G90 G17 G94 G54\nT1 M6\nG43 H1 G0 Z20 S900 M3\nG1 X0 Y0 Z10 A0 C0 F500'

function program(random: SeededRandom, blocks: number, lineEnd: string): string {
  return [start, ...Array.from({ length: blocks }, () => block(random)), 'M30', ''].join('\n').replaceAll('\n', lineEnd)
}

/** Most edits lie in one block; some take lines away, bring lines in, or change the head. */
function edited(random: SeededRandom, text: string, lineEnd: string): string {
  const at = random.whole(0, text.length)
  const lineStart = text.lastIndexOf('\n', at - 1) + 1, next = text.indexOf('\n', at), lineStop = next < 0 ? text.length : next + 1
  const kind = random.whole(0, 9)
  if (kind < 4) return text.slice(0, at) + random.pick(['1', '.', ' ', 'X', '-', '(', '\n', '\r', 'F']) + text.slice(at)
  if (kind < 6) return text.slice(0, at) + text.slice(at + random.whole(1, 3))
  if (kind < 7) return text.slice(0, lineStart) + text.slice(lineStop)
  return text.slice(0, lineStart) + block(random) + lineEnd + text.slice(kind < 9 ? lineStop : lineStart)
}

describe(`a run after an edit is a fresh run (seed ${seed})`, () => {
  const cases: readonly [what: string, lineEnd: string, wish: MachineWish, edits: number][] = [
    ['lines that end with \\n', '\n', {}, 500],
    ['lines that end with \\r\\n', '\r\n', {}, 250],
    ['a machine without a home', '\n', { home: undefined }, 250],
  ]
  test.each(cases)('%s', (_what, lineEnd, wish, edits) => {
    const random = new SeededRandom(seed), twin = new Twin(wish)
    let text = program(random, 4500, lineEnd), last = twin.fresh(text).run, kept = 0
    for (let n = 0; n < edits; n++) {
      // Again and again a new program: edits wear one down.
      if (n % 50 === 49) last = twin.fresh(text = program(random, random.whole(0, 5000), lineEnd)).run
      const next = edited(random, text, lineEnd)
      const again = twin.again(last, next), lines = again.run.lineStarts.length
      expectSame(again, twin.fresh(next), n % 10 === 0 ? [0, 5, random.whole(0, lines), random.whole(0, lines), lines] : [])
      // The last checkpoint's variables are the same object where the end of the run before was taken over.
      if (last.record.checkpoints.length > 2 && last.record.checkpoints.at(-1)?.run.variables === again.run.record.checkpoints.at(-1)?.run.variables && next !== text) kept++
      text = next
      last = again.run
    }
    expect(kept).toBeGreaterThan(edits / 4)
  }, 120_000)
})

describe('what goes on, and what is run as a whole', () => {
  const random = new SeededRandom(seed)
  const long = [start, ...Array.from({ length: 9000 }, () => `X${random.between(0, 90).toFixed(3)} Y${random.between(0, 90).toFixed(3)} Z1. A0. C0.`), 'M30'].join('\n')
  const twin = new Twin(), first = twin.fresh(long).run
  const replace = (line: number, by: string) => long.split('\n').map((each, i) => i === line ? by : each).join('\n')

  /** How many blocks the second run has read. */
  function readBlocks(text: string): number {
    const { record } = twin.again(first, text).run
    const shared = new Set(first.record.checkpoints.map(each => each.run.variables))
    return record.checkpoints.filter(each => !shared.has(each.run.variables)).length * 1000
  }

  test('one block in the middle: the checkpoints before and behind stay', () => {
    expect(readBlocks(replace(4500, 'X1. Y2. Z3. A4. C5.'))).toBe(0)
    const again = twin.again(first, replace(4500, 'X1. Y2. Z3. A4. C5.'))
    expectSame(again, twin.fresh(replace(4500, 'X1. Y2. Z3. A4. C5.')), [4499, 4501, 9000])
  })

  test('a mode that holds to the end: everything behind is run', () => {
    const text = replace(4500, 'G91')
    expect(readBlocks(text)).toBeGreaterThanOrEqual(4000)
    expectSame(twin.again(first, text), twin.fresh(text), [4499, 9000])
  })

  test.each([
    ['a loop comes in', replace(4500, 'WHILE [1 GT 2] DO1\nEND1')], ['a call comes in', replace(4500, 'M98 P7')], ['the end comes early', replace(4500, 'M30')],
    ['nothing is left', ''], ['no program any more', '\u0000'.repeat(5000)], ['the very first character', `\ufeff${long}`], ['nothing has changed', long],
  ])('%s', (_what, text) => expectSame(twin.again(first, text), twin.fresh(text), [0, 4500]))

  test('what loops is run as a whole, and what once looped goes on again', () => {
    const looped = twin.again(first, replace(4500, '#1=0\nWHILE [#1 LT 2] DO1\n#1=#1+1\nEND1')).run
    expect(looped.repeats).toBe(true)
    expectSame(twin.again(looped, long), twin.fresh(long), [4500])
  })

  test('another machine, or a visitor, is a fresh run', () => {
    const other = new Twin({ home: [1, 2, 3, 0, 0] })
    expectSame(other.again(first, replace(10, 'X1.')), other.fresh(replace(10, 'X1.')), [5])
    let seen = 0
    interpretAgain(first, long, { ...twin.input([]), onBlock: () => { seen++ } })
    expect(seen).toBeGreaterThan(9000)
  })
})
