import { dirname, extname, join } from 'node:path'
import { neverCancelled } from '../../shared/cancellation.ts'
import { ContactPool } from '../../server/edge/contact-pool.ts'
import {
  defaultEpsilon, MotionSearcher, openScene, readProgram, searchInputOf, type PartMesh, type ReadProgram, type Scene, type SearchInput,
} from '../../server/engine/service.ts'
import type { Assembly } from '../../server/engine/contact/assembly.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { boreMesh, boreProgram, boreSheet } from './bore.ts'
import { contactRows, growthRows } from './contact-rows.ts'
import { editingRows } from './editing-rows.ts'
import { blockMemory, triangleMemory } from './memory.ts'
import { quantile, ratesOf, secondsFor, type Load, type Measured } from './measure.ts'
import { mendRows } from './mend-rows.ts'
import { nativeRows, type NativeRows } from './native-rows.ts'
import { openingRows } from './opening-rows.ts'
import { readingRows } from './reading-rows.ts'
import type { Row } from './report.ts'
import { resultRows } from './result-rows.ts'
import { buildBvh, ShapecastPeer } from './shapecast-peer.ts'
import { stockRows } from './stock-rows.ts'

const seed = 2025

export interface BenchSize {
  readonly triangles: number
  readonly blocks: number
  /** Blocks of the program that is opened as a whole, and of the one in which a block is edited. */
  readonly longBlocks: number
  /** Blocks the sampled peer is given: it is slow. */
  readonly peerBlocks: number
  /** Blocks that are read and run alone; an edit is made in a tenth of them. */
  readonly readBlocks: number
  /** Edits of the session through the language server. */
  readonly edits: number
  /** Closest points and poses that native peers are asked for. */
  readonly points: number
  readonly poses: number
  readonly runs: number
  /** Triangles of the meshes whose search times are compared, the smallest first. */
  readonly growth: readonly number[]
}

/** What the rows are measured with: the project's folder, the bundled search thread, the bundled language server. */
export interface BenchPlaces { readonly root: string, readonly worker: string, readonly server: string }

/** Runs every row on one scene; what is not installed is left out by name. */
export async function benchRows(size: BenchSize, places: BenchPlaces, say: (what: string) => void): Promise<NativeRows> {
  const rows: Row[] = []
  const add = (row: Row) => { rows.push(row) }
  const corners = boreOf(size, say)
  say('tree')
  add(await treeRow(corners, size.runs))
  const mesh = openBore(corners)
  add(triangleMemory(mesh, corners))
  say(`reading ${size.blocks} blocks`)
  const text = boreProgram(size.blocks), scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
  const program = readProgram({ path: 'bore.nc', text }, scene)
  add(blockMemory(program))
  add(await readingRow(text, scene, size.runs))
  say(`reading ${size.readBlocks} blocks`)
  rows.push(...await readingRows(size.readBlocks, size.runs, scene))
  say(`a session of ${size.edits} edits through the language server`)
  for (const blocks of [size.blocks, size.readBlocks]) rows.push(...await editingRows(places.server, { blocks, edits: size.edits, triangles: size.triangles / 10 }))
  const { input, assembly } = searchOf(program, scene)
  const peer = new ShapecastPeer(corners, input, assembly), blocks = input.toolpath.count
  say('certified and sampled, one thread')
  const one = await ratesOf(size.runs, { units: blocks, work: () => searchAll(input, mesh) }, { units: size.peerBlocks, work: () => peer.run(500, size.peerBlocks) })
  add({ name: 'certified search, one thread', unit: 'blocks/s', better: 'higher', ...one.ours, peer: { name: 'shapecast every 0.1 mm, nothing proven', value: one.peer.median } })
  say('certified, two threads')
  const two = await twoThreads(program, scene, mesh, places.worker, size.runs)
  add({ name: 'certified search, two threads', unit: 'blocks/s', better: 'higher', ...two.ours, peer: { name: 'the same with one thread', value: two.peer.median } })
  say('stock')
  rows.push(...await stockRows(Math.min(size.blocks, 9_000), size.runs))
  say('what is left on the part')
  rows.push(...await resultRows(2.5 * size.blocks, mesh, Math.ceil(size.runs / 2), join(dirname(places.worker), `result-worker${extname(places.worker)}`)))
  say('mending')
  rows.push(...await mendRows(Math.min(size.blocks, 5_000), mesh, Math.ceil(size.runs / 2)))
  say('one edited block')
  const long = searchInputOf(readProgram({ path: 'bore.nc', text: boreProgram(size.longBlocks) }, scene), scene, defaultEpsilon)
  if (long !== undefined) rows.push(...editedRows(long, mesh, one.peer, size.longBlocks))
  rows.push(...await openingRows(corners, size.longBlocks, Math.ceil(size.runs / 2), places.worker, say))
  rows.push(...await contactRows(program, mesh, size.runs, places.worker, say))
  rows.push(...await growthRows(size.growth, size.runs, say))
  const native = await besideNative(size, places, { corners, mesh, input }, say)
  return { rows: [...rows, ...native.rows], leftOut: native.leftOut }
}

/** The rows beside native peers alone. */
export async function nativeBenchRows(size: BenchSize, places: BenchPlaces, say: (what: string) => void): Promise<NativeRows> {
  const corners = boreOf(size, say), scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
  const program = readProgram({ path: 'bore.nc', text: boreProgram(size.blocks) }, scene)
  return await besideNative(size, places, { corners, mesh: openBore(corners), input: searchOf(program, scene).input }, say)
}

async function besideNative(size: BenchSize, { root }: BenchPlaces, { corners, mesh, input }: { corners: Float64Array, mesh: PartMesh, input: SearchInput }, say: (what: string) => void): Promise<NativeRows> {
  say('native peers')
  return await nativeRows(root, size, corners, mesh, input, { units: input.toolpath.count, work: () => searchAll(input, mesh) })
}

function boreOf({ triangles }: BenchSize, say: (what: string) => void): Float64Array {
  say(`a bore of ${triangles} triangles`)
  return boreMesh(triangles)
}

function searchOf(program: ReadProgram, scene: Scene): { input: SearchInput, assembly: Assembly } {
  const input = searchInputOf(program, scene, defaultEpsilon), assembly = input?.assemblies[0]
  if (input === undefined || assembly === undefined) throw new Error(`the scene cannot be searched: ${scene.findings.map(finding => finding.message).join(' ')}`)
  return { input, assembly }
}

function openBore(corners: Float64Array): PartMesh {
  const { tree } = buildMeshTree(corners, true)
  return { ...tree, chordErrors: new Float32Array(tree.triangleCount) }
}

async function treeRow(corners: Float64Array, runs: number): Promise<Row> {
  const { ours, peer } = await ratesOf(Math.ceil(runs / 2), { units: 1, work: () => buildMeshTree(corners, true) }, { units: 1, work: () => buildBvh(corners) })
  return { name: 'tree over the mesh', unit: 's', better: 'lower', ...secondsFor(ours), peer: { name: 'three-mesh-bvh alone', value: secondsFor(peer).median } }
}

async function readingRow(text: string, scene: Scene, runs: number): Promise<Row> {
  const units = text.split('\n').length
  const { ours, peer } = await ratesOf(runs, { units, work: () => readProgram({ path: 'bore.nc', text }, scene) }, { units, work: () => text.split('\n').length })
  return { name: 'reading, interpreting and all text rules', unit: 'blocks/s', better: 'higher', ...ours, peer: { name: 'splitting into lines', value: peer.median } }
}

function searchAll(input: SearchInput, mesh: PartMesh): void {
  const figures = new MotionSearcher(input, mesh, neverCancelled).searchRun(0, input.toolpath.count)
  if (figures.value.every(value => value === Infinity)) throw new Error('the search found nothing')
}

async function twoThreads(program: ReadProgram, scene: Scene, mesh: PartMesh, script: string, runs: number): Promise<{ ours: Measured, peer: Measured }> {
  const [one, two] = [1, 2].map(threads => new ContactPool(threads, { script }))
  const load = (pool: ContactPool): Load => ({ units: program.toolpath.count, work: () => pool.search(program, { epsilon: defaultEpsilon, cancellation: neverCancelled }) })
  try {
    for (const pool of [one, two]) pool.load(scene, mesh)
    return await ratesOf(runs, load(two), load(one))
  } finally {
    await Promise.all([one, two].map(pool => pool.dispose()))
  }
}

/** A block that is changed alters two motions: its own and the next. */
function editedRows(input: SearchInput, mesh: PartMesh, peer: Measured, blocks: number): Row[] {
  const random = new SeededRandom(seed), searcher = new MotionSearcher(input, mesh, neverCancelled)
  const times: number[] = []
  for (let i = 0; i < 1200; i++) {
    const motion = random.whole(20, input.toolpath.count - 20), before = performance.now()
    searcher.searchRun(motion, 2)
    // The first tell how fast the machine compiles.
    if (i >= 200) times.push(performance.now() - before)
  }
  times.sort((a, b) => a - b)
  const sampled = { name: 'two blocks sampled by shapecast', value: 2000 / peer.median }
  const row = (name: string, share: number): Row => {
    const value = quantile(times, share)
    return { name, unit: 'ms', better: 'lower', median: value, low: times[0], high: times[times.length - 1], peer: sampled }
  }
  return [row(`one edited block among ${blocks}, median`, 0.5), row(`one edited block among ${blocks}, 99th percentile`, 0.99)]
}
