import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { neverCancelled } from '../../shared/cancellation.ts'
import { ContactPool } from '../../server/edge/contact-pool.ts'
import { unchangedMotions } from '../../server/engine/contact/unchanged-motions.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { defaultEpsilon, MotionSearcher, openScene, readProgram, searchInputOf, type PartMesh, type ReadProgram, type SearchInput } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { boreMesh, boreProgram, boreSheet } from './bore.ts'
import { ratesOf, secondsFor } from './measure.ts'
import type { Row } from './report.ts'

const seed = 2027

/** Blocks of the scenes that take long for each. */
const fewBlocks = 2000

/** The bore searched in other ways than the plain one, each beside the plain one in the same run. */
export async function contactRows(program: ReadProgram, mesh: PartMesh, runs: number, workerScript: string, say: (what: string) => void): Promise<Row[]> {
  say('full clearance, holder close by')
  const wide = await sceneRow('certified, clearance wanted to 0.5 / 10 / 20 mm', sheet => { sheet.limits.clearance = { ...sheet.limits.clearance, shank: 8, holder: 16 } }, mesh, runs)
  const close = await sceneRow('certified, holder 2 mm above the bore', sheet => { sheet.tools[0].LPR = 24 }, mesh, runs)
  say('1,000 edited blocks')
  const scattered = await scatteredRow(program, mesh, runs)
  say('from the cache')
  const kept = await keptRow(program, mesh, runs, workerScript)
  return [wide, close, scattered, kept]
}

/** How the time of a block grows with the mesh, each size beside the smallest. */
export async function growthRows(sizes: readonly number[], runs: number, say: (what: string) => void): Promise<Row[]> {
  const [smallest, ...larger] = sizes
  if (smallest === undefined) return []
  const { input } = sceneOf(fewBlocks, () => undefined), small = treeOf(smallest), rows: Row[] = []
  for (const size of larger) {
    say(`a bore of ${size} triangles`)
    const tree = treeOf(size)
    const { ours, peer } = await ratesOf(runs, load(input, tree), load(input, small))
    rows.push({ name: `certified, ${size} triangles`, unit: 'µs/block', better: 'lower', ...times(secondsFor(ours), 1e6), peer: { name: `${smallest} triangles`, value: secondsFor(peer).median * 1e6 } })
  }
  return rows
}

interface BoreSheet {
  limits: { clearance: Record<string, number> }
  tools: { LPR: number }[]
}

function sceneOf(blocks: number, change: (sheet: BoreSheet) => void): { readonly input: SearchInput, readonly program: ReadProgram } {
  const sheet = JSON.parse(boreSheet) as BoreSheet
  change(sheet)
  const scene = openScene({ path: 'bore.setup.json', text: JSON.stringify(sheet) }, undefined)
  const program = readProgram({ path: 'bore.nc', text: boreProgram(blocks) }, scene)
  return { program, input: inputOf(program, scene) }
}

function inputOf(program: ReadProgram, scene: Parameters<typeof searchInputOf>[1]): SearchInput {
  const input = searchInputOf(program, scene, defaultEpsilon)
  if (input === undefined) throw new Error('the scene cannot be searched')
  return input
}

function treeOf(triangles: number): PartMesh {
  const { tree } = buildMeshTree(boreMesh(triangles), true)
  return { ...tree, chordErrors: new Float32Array(tree.triangleCount) }
}

function load(input: SearchInput, mesh: PartMesh) {
  return { units: input.toolpath.count, work: () => new MotionSearcher(input, mesh, neverCancelled).searchRun(0, input.toolpath.count) }
}

async function sceneRow(name: string, change: (sheet: BoreSheet) => void, mesh: PartMesh, runs: number): Promise<Row> {
  const { ours, peer } = await ratesOf(runs, load(sceneOf(fewBlocks, change).input, mesh), load(sceneOf(fewBlocks, () => undefined).input, mesh))
  return { name, unit: 'blocks/s', better: 'higher', ...ours, peer: { name: 'the plain scene', value: peer.median } }
}

/** A thousand blocks all over the program are other ones now: what is the same is found, and the rest searched. */
async function scatteredRow(program: ReadProgram, mesh: PartMesh, runs: number): Promise<Row> {
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined), before = inputOf(program, scene)
  const random = new SeededRandom(seed), lines = program.text.split('\n'), changed = new Set<number>()
  while (changed.size < Math.min(1000, lines.length / 10)) changed.add(random.whole(20, lines.length - 20))
  for (const line of changed) lines[line] = lines[line]?.replace(/ A(-?[\d.]+)/, (_, angle: string) => ` A${(Number(angle) + 0.002).toFixed(4)}`) ?? ''
  const after = inputOf(readProgram({ path: 'bore.nc', text: lines.join('\n') }, scene), scene)
  const work = () => {
    const same = unchangedMotions(before, after), searcher = new MotionSearcher(after, mesh, neverCancelled)
    for (let i = 0; i < same.length; i++) if (same[i] === -1) searcher.searchRun(i, 1)
  }
  const { ours, peer } = await ratesOf(runs, { units: 1, work }, { units: 1, work: load(after, mesh).work })
  return { name: `${changed.size} edited blocks, scattered`, unit: 'ms', better: 'lower', ...times(secondsFor(ours), 1000), peer: { name: 'all blocks', value: secondsFor(peer).median * 1000 } }
}

async function keptRow(program: ReadProgram, mesh: PartMesh, runs: number, script: string): Promise<Row> {
  const folder = mkdtempSync(join(tmpdir(), 'toolwake-bench-kept-'))
  const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
  const keeping = new ContactPool(1, { script, store: { folder, limit: 1e9 } }), plain = new ContactPool(1, { script })
  try {
    keeping.load(scene, mesh, [], 'the bore')
    plain.load(scene, mesh)
    const options = { epsilon: defaultEpsilon, cancellation: neverCancelled }
    await keeping.keep(program, defaultEpsilon, await keeping.search(program, options))
    const { ours, peer } = await ratesOf(runs, { units: 1, work: () => keeping.search(program, options) }, { units: 1, work: () => plain.search(program, options) })
    return { name: `figures of ${program.toolpath.count} motions from the cache`, unit: 'ms', better: 'lower', ...times(secondsFor(ours), 1000), peer: { name: 'searching them', value: secondsFor(peer).median * 1000 } }
  } finally {
    await Promise.all([keeping.dispose(), plain.dispose()])
    rmSync(folder, { recursive: true, force: true })
  }
}

function times({ median, low, high }: { readonly median: number, readonly low: number, readonly high: number }, factor: number) {
  return { median: median * factor, low: low * factor, high: high * factor }
}
