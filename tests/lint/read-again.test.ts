import { isDeepStrictEqual } from 'node:util'
import { describe, expect, test } from 'vitest'
import { openScene, readProgram, type ReadProgram, type Scene } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// After an edit the findings of the reading before are taken over where nothing has changed; they have to be
// those of a fresh reading, in every figure and word, over all rules.

const seed = 20260903
const sheet = JSON.stringify({
  machine: 'm.machine.json', programs: ['a.nc'],
  offsets: { G54: { X: 0, Y: 0, Z: 150, A: 0, C: 0 }, G55: { X: 5, Y: 0, Z: 150, A: 0, C: 0 } },
  limits: { axisStep: 5, gouge: 0.01 },
  passes: [
    { from: 'N40', to: 'N400', limits: { axisStep: 2 } }, { tools: [2], oneWay: true }, { tools: [1], from: 'N10', axisThrough: { point: [0, 0, 45], within: 30 } },
  ],
  tools: [
    { number: 1, name: 'ball 4', cutter: { shape: 'ball', DC: 4, LCF: 6 }, LPR: 30, lengthOffset: 1, maxSpeed: 20000, maxFeed: 1500 },
    { number: 2, name: 'ball 6', cutter: { shape: 'ball', DC: 6, LCF: 9 }, LPR: 35, lengthOffset: 2, maxSpeed: 15000 },
    { number: 9, name: 'ball 8', cutter: { shape: 'ball', DC: 8, LCF: 9 }, LPR: 35, lengthOffset: 9 },
  ],
})
const machine = JSON.stringify({
  name: 'table-table, A under C, slow', axes: {
    X: { kind: 'linear', direction: [1, 0, 0], range: [-40, 40], rapid: 24000, maxFeed: 3000 },
    Y: { kind: 'linear', direction: [0, 1, 0], range: [-45, 45], rapid: 24000, maxFeed: 3000 },
    Z: { kind: 'linear', direction: [0, 0, 1], range: [-300, 500], rapid: 24000, maxFeed: 3000 },
    A: { kind: 'rotary', direction: [-1, 0, 0], through: [0, 0, 0], range: [-40, 40], rapid: 7200 },
    C: { kind: 'rotary', direction: [0, 0, -1], through: [0, 0, 0], range: null, rapid: 7200 },
  },
  table: ['A', 'C'], head: ['X', 'Y', 'Z'], spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] }, home: { X: 0, Y: 0, Z: 400, A: 0, C: 0 }, control: { blockTime: 5 },
})
const scene = openScene({ path: 'a.setup.json', text: sheet }, { path: 'm.machine.json', text: machine })

const start = 'N1 G21 G90 G17 G94 G54 G40\nN2 T1 M6\nN3 G43.4 H1 G0 Z20. S900 M3\nN4 G1 X0. Y0. Z10. A0. C0. F500.'
const number = (random: SeededRandom, size: number, digits = random.whole(0, 3)) => {
  const value = random.between(-size, size).toFixed(digits)
  return digits === 0 && random.whole(0, 9) > 0 ? `${value}.` : value
}

function block(random: SeededRandom): string {
  const kind = random.whole(0, 99)
  if (random.whole(0, 3000) === 0) return random.pick(['%', 'M30', 'M2'])
  if (kind < 75) return `X${number(random, 35)} Y${number(random, 35)} Z${number(random, 5)}`
  if (kind < 80) return `X${number(random, 35)} A${number(random, 3, 2)} C${number(random, 9, 2)}`
  if (kind < 90) return `G${random.pick([0, 1])} ${random.pick([...'XYZAC'])}${number(random, 50)} F${random.whole(100, 2000)}.`
  return random.pick([
    'G1', 'X0. Y0.', 'X5', 'Y7', 'G2 X5. Y5. R9.', 'G4 P200', '', '(COMMENT)', '(ACCEPT travel-limit: MEASURED)', '(ACCEPT overfeed: )', 'G77', 'X1.2.3', 'G55', 'G54',
    'T2 M6', 'T1 M6', 'T7 M6', 'H2', 'H1', 'G49', 'G43.4 H1', 'G43.4 H2', 'M5', 'M3 S900', 'S25000', 'S18000', 'F0', 'F9000.', 'F500.', 'G93 F20.', 'G94 F500.', 'G94', 'C3600.', 'A39.', 'C0.',
    'N10', 'N40', 'N400', 'N40 X1.', '/N30 X2.', 'G91', 'G90', 'M8', 'M9', 'G40', 'X12. Y12.', 'X12.5 Y12.', 'X12. Y12.',
  ])
}

function program(random: SeededRandom, blocks: number): string {
  return [start, ...Array.from({ length: blocks }, (_, i) => `${random.whole(0, 9) > 0 ? `N${i + 5} ` : ''}${block(random)}`), 'M30', ''].join('\n')
}

/** Most edits lie in one block; some take lines away or bring lines in. */
function edited(random: SeededRandom, text: string): string {
  const at = random.whole(0, text.length), lineStart = text.lastIndexOf('\n', at - 1) + 1, next = text.indexOf('\n', at), lineStop = next < 0 ? text.length : next + 1
  const kind = random.whole(0, 9)
  if (kind < 4) return text.slice(0, at) + random.pick(['1', '.', ' ', 'X', '-', '(', '\n', 'F', 'N', '9']) + text.slice(at)
  if (kind < 6) return text.slice(0, at) + text.slice(at + random.whole(1, 3))
  if (kind < 7) return text.slice(0, lineStart) + text.slice(lineStop)
  return `${text.slice(0, lineStart)}${block(random)}\n${text.slice(kind < 9 ? lineStop : lineStart)}`
}

const read = (text: string, around: Scene, earlier?: ReadProgram) => readProgram({ path: 'a.nc', text }, around, { earlier })

/** Every figure, as bytes: far quicker than one by one. */
function expectSamePath({ toolpath: a }: ReadProgram, { toolpath: b }: ReadProgram): void {
  const columns = ['kind', 'flags', 'line', 'tool', 'seconds', 'joints', 'arcOf', 'arcs'] as const
  for (const name of columns) expect(bytesOf(a[name]).equals(bytesOf(b[name])), name).toBe(true)
}

const bytesOf = ({ buffer, byteOffset, byteLength }: ArrayBufferView) => Buffer.from(buffer, byteOffset, byteLength)

/** Whether the last stretch of the reading before was taken over. */
const tookOver = (again: ReadProgram, before: ReadProgram) =>
  again.run !== undefined && before.run !== undefined && again.run.record.checkpoints.length > 2
  && again.run.record.checkpoints.at(-1)?.run.variables === before.run.record.checkpoints.at(-1)?.run.variables

describe(`the reading after an edit is a fresh reading (seed ${seed})`, () => {
  test.each([['a sheet and a slow machine', scene, 280], ['no sheet', openScene(undefined, undefined), 120]] as const)('%s', (_what, around, edits) => {
    const random = new SeededRandom(seed), told = new Set<string>()
    let text = program(random, 2600), last = read(text, around), kept = 0
    for (let n = 0; n < edits; n++) {
      // Again and again a new program: edits wear one down.
      if (n % 40 === 39) last = read(text = program(random, random.whole(2200, 3000)), around)
      const next = edited(random, text)
      const again = read(next, around, last), fresh = read(next, around)
      for (const what of ['findings', 'passLines'] as const) if (!isDeepStrictEqual(again[what], fresh[what])) expect(again[what], `edit ${n}`).toEqual(fresh[what])
      expectSamePath(again, fresh)
      for (const { rule } of again.findings) told.add(rule)
      if (next !== text && tookOver(again, last)) kept++
      text = next
      last = again
    }
    expect(kept).toBeGreaterThan(edits / 4)
    // The programs are wild enough to wake most rules.
    expect([...told].length).toBeGreaterThan(around === scene ? 25 : 12)
  }, 300_000)
})
