import { describe, expect, it } from 'vitest'
import type { Problem } from '../../shared/problem.ts'
import { namedFiles } from '../../server/engine/setup/named-files.ts'
import { readMachine } from '../../server/engine/setup/read-machine.ts'
import { readSetup } from '../../server/engine/setup/read-setup.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { errorsOf, fullMachine, fullSheet } from './example-files.ts'

// Whatever is done to a file, the readers answer with a result and problems inside the text.

const values = ['0', '-1', '1e308', '-1e308', '1e999', '0.1', 'null', 'true', '""', '"G54"', '"N9"', '[]', '{}', '[0, 0, 0]', '[[[]]]', '{"a":{"b":[]}}', '"__proto__"', '"\\u0000"']
const scraps = ['{', '}', '[', ']', ',', ':', '"', '\\', '//', '/*', '\n', '\u0000', '\uFEFF', '\uD800', 'é', '1', '-', 'e', ' ']

function mutate(text: string, random: SeededRandom): string {
  const at = random.whole(0, text.length), to = Math.min(text.length, at + random.whole(0, 12))
  switch (random.whole(0, 4)) {
    case 0: return text.slice(0, at) + random.pick(scraps) + text.slice(at)
    case 1: return text.slice(0, at) + text.slice(to)
    case 2: return text.slice(0, at)
    case 3: return text.slice(0, at) + text.slice(random.whole(0, text.length))
    default: return replaceValue(text, random)
  }
}

/** Puts another value where one stands, so that the text stays JSON. */
function replaceValue(text: string, random: SeededRandom): string {
  const places = [...text.matchAll(/(?<=[:[,] ?)("[^"\n]*"|-?[\d.]+|true|false|null)(?=[,\]} ])/g)]
  if (places.length === 0) return text
  const place = random.pick(places)
  return text.slice(0, place.index) + random.pick(values) + text.slice(place.index + place[0].length)
}

function check(problems: readonly Problem[], text: string): void {
  for (const { span, message } of problems) {
    expect(span.start).toBeGreaterThanOrEqual(0)
    expect(span.end).toBeGreaterThanOrEqual(span.start)
    expect(span.end).toBeLessThanOrEqual(text.length)
    expect(message.length).toBeGreaterThan(10)
    expect(message).not.toMatch(/undefined|\[object|NaN/)
  }
}

/** Every number of a result, wherever it stands. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value]
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : []
}

describe.each([20260301, 7, 99])('mutated files, seed %i', seed => {
  it('a sheet never makes the reader throw', () => {
    const random = new SeededRandom(seed)
    for (let run = 0; run < 1500; run++) {
      let text = fullSheet
      for (let times = random.whole(1, 3); times > 0; times--) text = mutate(text, random)
      const { setup, problems } = readSetup({ path: '/a/b.setup.json', text })
      check(problems, text)
      expect(setup !== undefined || errorsOf(problems).length > 0).toBe(true)
      expect(numbersIn(setup).every(Number.isFinite)).toBe(true)
      namedFiles({ path: '/a/b.setup.json', text })
    }
  })

  it('a machine never makes the reader throw', () => {
    const random = new SeededRandom(seed)
    for (let run = 0; run < 1500; run++) {
      let text = fullMachine
      for (let times = random.whole(1, 3); times > 0; times--) text = mutate(text, random)
      const { machine, problems } = readMachine({ path: '/a/b.machine.json', text })
      check(problems, text)
      expect(machine !== undefined || errorsOf(problems).length > 0).toBe(true)
      expect(numbersIn(machine).every(Number.isFinite)).toBe(true)
      if (machine === undefined) continue
      expect([...machine.table, ...machine.head].sort()).toEqual(machine.axes.map((_, joint) => joint))
    }
  })
})

it('twenty thousand faults are told once and cost little', () => {
  const text = `{ "tools": [${Array.from({ length: 20_000 }, () => '{ "a": 1 }').join()}] }`
  const before = performance.now()
  const { problems } = readSetup({ path: 'a', text })
  expect(problems.length).toBe(501)
  expect(problems.at(-1)?.message).toContain('more than 500 faults')
  expect(performance.now() - before).toBeLessThan(10_000)
})

describe.each([5, 6])('changed values only, seed %i', seed => {
  it('no fault is silent: a changed figure is either taken or said', () => {
    const random = new SeededRandom(seed)
    const plain = JSON.stringify(readSetup({ path: 'a', text: fullSheet }).setup)
    for (let run = 0; run < 1000; run++) {
      const text = replaceValue(fullSheet, random)
      const { setup, problems } = readSetup({ path: 'a', text })
      const said = errorsOf(problems).length > 0
      // The places of everything behind the change move with it, so a result is never the same by chance.
      if (!said && text !== fullSheet) expect(setup?.tools.length, text).toBe(1)
      if (text.length === fullSheet.length && text !== fullSheet) expect(said || JSON.stringify(setup) !== plain, text).toBe(true)
    }
  })
})
