import { expect, test } from 'vitest'
import { NumberSet } from '../../server/engine/lint/number-set.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// Sequence numbers of a text in which none is repeated are not looked through again after an edit; what is found has to be what a fresh
// reading finds. tests/lint/read-again.test.ts does the same over all rules, with numbers that are nearly always repeated somewhere.

const seed = 20261126
const scene = openScene({ path: 'a.setup.json', text: '{ "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } } }' }, undefined)
const repeats = (found: ReturnType<typeof readProgram>) => found.findings.filter(({ rule }) => rule === 'duplicate-sequence-number')

test(`300 edits of numbers that are told apart, seed ${seed}`, () => {
  const random = new SeededRandom(seed)
  let text = ['%', 'O1', 'N1 G21 G17 G90 G94 G40 G49 G54 G0 X0.', ...Array.from({ length: 1500 }, (_, i) => `N${(i + 1) * 10} G1 X${i % 90}. F500`), 'M30', '%', 'N10 (BEHIND THE END)', ''].join('\n')
  let earlier = readProgram({ path: 'a.nc', text }, scene), repeated = 0, cleared = 0
  for (let n = 0; n < 300; n++) {
    const lines = text.split('\n'), at = random.whole(3, lines.length - 1), number = random.whole(0, 1600)
    const how = random.whole(0, 6)
    if (how === 0) lines.splice(at, 1)
    else if (how === 1) lines.splice(at, 0, `N${number} G1 X${random.whole(0, 9)}.`)
    else if (how === 2) lines.splice(at, 0, lines[at] ?? '')
    else if (how === 3) lines[at] = (lines[at] ?? '').replace(/^N\d+/, `N${number}`)
    else if (how === 4) lines[at] = `/ ${lines[at] ?? ''}`
    else if (how === 5) lines[at] = (lines[at] ?? '').replace(/X\d+/, `X${random.whole(0, 90)}`)
    // Numbers that are repeated are mended soon, so that most edits begin with none.
    else lines.splice(at, random.whole(0, 3))
    let after = lines.join('\n')
    if (repeats(earlier).length > 0 && random.whole(0, 2) > 0) after = withoutRepeats(after)
    const again = readProgram({ path: 'a.nc', text: after }, scene, { earlier }), fresh = readProgram({ path: 'a.nc', text: after }, scene)
    expect(again.findings).toEqual(fresh.findings)
    if (repeats(again).length > 0) repeated++
    else cleared++
    text = after
    earlier = again
  }
  expect(repeated).toBeGreaterThan(50)
  expect(cleared).toBeGreaterThan(50)
})

test('a copy of a set and what it was copied from go their own ways', () => {
  const first = new NumberSet()
  for (const number of [0, 31, 32, 4095, 4096, 99_999_999]) first.add(number)
  const second = new NumberSet(first)
  first.delete(31)
  first.add(33)
  second.delete(4096)
  second.add(7)
  expect([0, 7, 31, 32, 33, 4095, 4096, 99_999_999].map(number => [first.has(number), second.has(number)])).toEqual([
    [true, true], [false, true], [false, true], [true, true], [true, false], [true, true], [true, false], [true, true],
  ])
})

/** The first of each number stays. */
function withoutRepeats(text: string): string {
  const seen = new Set<string>()
  return text.split('\n').filter(line => {
    const number = /^(?:\/ )*N(\d+)/.exec(line)?.[1]
    if (number === undefined || !seen.has(number)) {
      if (number !== undefined) seen.add(number)
      return true
    }
    return false
  }).join('\n')
}
