import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { build } from 'esbuild'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { ContactPool } from '../../server/edge/contact-pool.ts'
import {
  contactFindings, defaultEpsilon, MotionSearcher, newContactFigures, openScene, placeFigures, readProgram, SceneSearcher, searchInputOf, motionsPerRun,
  type ContactFigures, type PartMesh,
} from '../../server/engine/service.ts'
import { inOrder } from '../../server/engine/contact/near-figure.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { sphere } from '../mesh/bodies.ts'
import { boreMesh, boreProgram, boreSheet } from '../bench/bore.ts'

// What the threads find must not depend on how many they are, nor on who was dealt what.

const folder = mkdtempSync(join(tmpdir(), 'toolwake-threads-'))
const worker = join(folder, 'contact-worker.cjs')
const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
const program = readProgram({ path: 'bore.nc', text: boreProgram(2200) }, scene)
const { tree } = buildMeshTree(boreMesh(40_000), true)
const mesh: PartMesh = { ...tree, chordErrors: new Float32Array(tree.triangleCount) }
const options = { epsilon: defaultEpsilon, cancellation: neverCancelled }
const pools: ContactPool[] = []

function poolOf(threads: number, script = worker): ContactPool {
  const pool = new ContactPool(threads, { script })
  pool.load(scene, mesh)
  pools.push(pool)
  return pool
}

beforeAll(async () => {
  await build({
    entryPoints: [join(import.meta.dirname, '../../server/edge/contact-worker.ts')], outfile: worker,
    bundle: true, platform: 'node', format: 'cjs', target: 'node20', mainFields: ['module', 'main'], logLevel: 'error',
  })
})

afterAll(async () => {
  await Promise.all(pools.map(pool => pool.dispose()))
  rmSync(folder, { recursive: true, force: true })
})

/** The same search without threads, run by run. */
function byHand(): ContactFigures {
  const input = searchInputOf(program, scene, defaultEpsilon), count = program.toolpath.count
  if (input === undefined) throw new Error('the scene cannot be searched')
  const searcher = new MotionSearcher(input, mesh, neverCancelled), whole = newContactFigures(0, count)
  for (let first = 0; first < count; first += motionsPerRun) placeFigures(whole, searcher.searchRun(first, Math.min(motionsPerRun, count - first)))
  return whole
}

describe('with a fixture and the machine\'s head in the way', () => {
  const sheet = boreSheet.replace('{', '{ "fixtures": [{ "name": "jaw", "mesh": "jaw.stl", "clearance": 3 }], ').replace('"clearance":{', '"clearance":{"head":300,')
  const read = openScene({ path: 'bore.setup.json', text: sheet }, undefined)
  const place = { path: 'nose.stl', scale: 1, translate: [0, 0, 0], rotate: [0, 0, 0], span: { start: 0, end: 0 } } as const
  const withFixture = { ...read, machine: { ...read.machine, bodies: [{ name: 'nose', on: read.machine.axes.findIndex(({ letter }) => letter === 'Z'), mesh: place }] } }
  // The bore's own surface, a little aside, serves as the fixture.
  const aside = boreMesh(2_000).map((value, at) => value + (at % 3 === 0 ? 0.7 : 0.3))
  const obstacles = [{ kind: 'fixture', index: 0, tree: buildMeshTree(aside, true).tree }, { kind: 'body', index: 0, tree: buildMeshTree(sphere(15, 2), true).tree }] as const

  const expected = newContactFigures(0, 512)
  beforeAll(() => {
    const input = searchInputOf(program, withFixture, defaultEpsilon)
    if (input === undefined) throw new Error('the scene cannot be searched')
    const searcher = new SceneSearcher(input, { part: mesh, obstacles }, neverCancelled)
    for (let first = 0; first < 512; first += motionsPerRun) placeFigures(expected, searcher.searchRun(first, motionsPerRun))
  })

  test.each([1, 2, 3])('%i threads: the figures of none, to the last bit', async threads => {
    expect(expected.near.filter(({ who }) => who === 0).length).toBeGreaterThan(500)
    expect(expected.near.filter(({ who }) => who !== 0).length).toBeGreaterThan(50)
    const pool = poolOf(threads)
    pool.load(withFixture, mesh, obstacles)
    const figures = await pool.search(program, { ...options, runs: [{ first: 0, count: 512 }] })
    expect(inOrder(figures.near)).toEqual(inOrder(expected.near))
    expect(figures.value).toEqual(expected.value)
    expect(contactFindings(program, withFixture, mesh, figures)).toEqual(contactFindings(program, withFixture, mesh, expected))
  })
})

describe('the search in threads', () => {
  const expected = byHand()

  test('there is something to find', () => {
    expect(expected.value.filter(value => value < 0.1).length).toBeGreaterThan(1000)
  })

  test.each([1, 2, 3])('%i: the figures of one thread, to the last bit', async threads => {
    const figures = await poolOf(threads).search(program, options)
    expect(figures.value).toEqual(expected.value)
    expect(figures.certified).toEqual(expected.certified)
    expect(figures.time).toEqual(expected.time)
    expect(figures.point).toEqual(expected.point)
    expect(contactFindings(program, scene, mesh, figures)).toEqual(contactFindings(program, scene, mesh, expected))
  })

  test('begun in the middle, the same', async () => {
    const seen: number[] = []
    const figures = await poolOf(1).search(program, { ...options, around: 1300 }, run => seen.push(run.firstMotion))
    expect(seen[0]).toBe(1280)
    expect(figures.value).toEqual(expected.value)
  })

  test('some motions asked for by themselves, the same', async () => {
    const figures = await poolOf(2).search(program, { ...options, runs: [{ first: 700, count: 100 }, { first: 801, count: 232 }] })
    expect(figures.value.subarray(0, 400)).toEqual(expected.value.slice(4 * 700, 4 * 800))
    expect(figures.value.subarray(404)).toEqual(expected.value.slice(4 * 801, 4 * 1033))
    expect(figures.point.subarray(1212)).toEqual(expected.point.slice(12 * 801, 12 * 1033))
    expect(figures.value.subarray(400, 404)).toEqual(new Float64Array(4).fill(Infinity))
  })

  test('called off, it ends with what there is', async () => {
    let cancelled = false
    const figures = await poolOf(2).search(program, { ...options, cancellation: { cancelled: () => cancelled } }, () => { cancelled = true })
    expect(figures.value.length).toBe(expected.value.length)
    expect(figures.value.every((value, at) => value === Infinity || value === expected.value[at])).toBe(true)
  })

  test('a thread that cannot start fails the search in words', async () => {
    await expect(poolOf(1, join(folder, 'missing.cjs')).search(program, options)).rejects.toThrow(/missing\.cjs|thread ended/)
  })
})
