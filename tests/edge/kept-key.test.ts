import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import type { MeshPlacement } from '../../shared/setup.ts'
import { KeptFigures } from '../../server/edge/kept-figures.ts'
import { ResultStore } from '../../server/edge/result-store.ts'
import { unchangedMotions } from '../../server/engine/contact/unchanged-motions.ts'
import { defaultEpsilon, newContactFigures, openScene, readProgram, searchInputOf, type SearchInput } from '../../server/engine/service.ts'
import { boreProgram, boreSheet } from '../bench/bore.ts'

// Figures are kept under a key that must know all they depend on. Here every number and word of a search's input is
// changed in turn: what was kept must then be missed. What no figure depends on is named, and must not be missed.

const placement: MeshPlacement = { path: 'stop.stl', span: { start: 0, end: 0 }, scale: 1, unitSaid: true, translate: [0, 0, 0], rotate: [0, 0, 0] }

const input = ((): SearchInput => {
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
  const program = readProgram({ path: 'bore.nc', text: boreProgram(6).replace('G49\n', 'G49\nG2 X5. Y5. I5.\n') }, scene)
  const found = searchInputOf(program, scene, defaultEpsilon)
  if (found === undefined) throw new Error('the scene cannot be searched')
  const sets = found.limits.sets.map(set => ({ ...set, barriers: [0] }))
  // Without what only some inputs have, the test would not see it.
  return structuredClone({ ...found, limits: { ...found.limits, sets }, fixtures: [{ name: 'stop', mesh: placement, clearance: 2 }], bodies: [{ name: 'table', on: 4, mesh: placement }] })
})()

const folder = mkdtempSync(join(tmpdir(), 'toolwake-kept-key-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const store = new ResultStore({ folder, limit: 1e8 }, () => {})
const { count } = input.toolpath
keptFor(input).keep(newContactFigures(0, count))

function keptFor(search: SearchInput, engine = 'engine', meshes = 'meshes'): KeptFigures {
  return new KeptFigures(store, engine, meshes, search)
}

const isMissed = (kept: KeptFigures) => kept.recall([{ first: 0, count }], () => {}, () => false).length > 0

type Holder = Record<string, unknown>

/** The ways to every number, word and truth in it, as keys from the outside in. */
function waysTo(value: unknown, way: readonly string[] = []): string[][] {
  if (typeof value !== 'object' || value === null) return value === undefined ? [] : [[...way]]
  return Object.keys(value).flatMap(key => waysTo((value as Holder)[key], [...way, key]))
}

function changed(way: readonly string[], change: (value: unknown) => unknown): SearchInput {
  const copy = structuredClone(input)
  const last = way.at(-1) ?? '', holder = way.slice(0, -1).reduce((at, key) => at[key] as Holder, copy as unknown as Holder)
  holder[last] = change(holder[last])
  return copy
}

const otherValue = (value: unknown) => typeof value === 'number' ? value + 1 : typeof value === 'boolean' ? !value : `${String(value)}?`

/** What no figure depends on: places in the text, times, names of things, files that the meshes' own name stands for, where a limit was set. */
const idle = [
  /^toolpath (line|seconds) /, /^toolpath count$/, /^limits sets \d+ origin /, /^(fixtures|bodies) 0 (name|mesh) ?/,
]
const ways = waysTo(input).map(way => way.join(' '))
const isIdle = (way: string) => idle.some(pattern => pattern.test(way))

describe('the key of kept figures', () => {
  test('finds what was kept for the same input', () => {
    expect(isMissed(keptFor(structuredClone(input)))).toBe(false)
    expect(input.toolpath.arcs.length).toBeGreaterThan(0)
  })

  test.each(['kinematics', 'toolpath', 'assemblies', 'limits', 'fixtures', 'bodies', 'epsilon'])('knows every figure of %s', part => {
    const own = ways.filter(way => way.split(' ')[0] === part && !isIdle(way))
    expect(own.length).toBeGreaterThan(0)
    const unseen = own.filter(way => !isMissed(keptFor(changed(way.split(' '), otherValue))))
    expect(unseen).toEqual([])
  })

  test('knows engine and meshes', () => {
    expect(isMissed(keptFor(input, 'another engine'))).toBe(true)
    expect(isMissed(keptFor(input, 'engine', 'other meshes'))).toBe(true)
  })

  test('does not hang on what no figure depends on', () => {
    const hanging = ways.filter(way => isIdle(way) && way !== 'toolpath count' && isMissed(keptFor(changed(way.split(' '), otherValue))))
    expect(hanging).toEqual([])
  })
})

describe('motions that are the same for the search', () => {
  test('are told apart by every figure of their motions and limits', () => {
    const own = ways.filter(way => /^(toolpath (kind|flags|tool|joints|arcOf|arcs)|limits) /.test(way) && !isIdle(way))
    const unseen = own.filter(way => unchangedMotions(input, changed(way.split(' '), otherValue)).every((origin, i) => origin === i))
    expect(unseen).toEqual([])
  })
})
