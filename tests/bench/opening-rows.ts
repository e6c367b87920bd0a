import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { neverCancelled } from '../../shared/cancellation.ts'
import { ContactPool } from '../../server/edge/contact-pool.ts'
import type { StorePlace } from '../../server/edge/result-store.ts'
import { contactFindings, defaultEpsilon, newContactFigures, openScene, placeFigures, readProgram } from '../../server/engine/service.ts'
import { boreProgram, boreSheet, boreStl } from './bore.ts'
import { spread } from './measure.ts'
import type { Row } from './report.ts'
import { buildBvh } from './shapecast-peer.ts'

/** Seconds from the bytes of mesh and program to what a person sees. */
interface Opened { readonly first: number, readonly complete: number }

/**
 * A long program and its mesh opened with two threads that have yet to start: until the findings of the first run are there, until
 * all are, and until all are when they were kept the time before.
 */
export async function openingRows(corners: Float64Array, blocks: number, runs: number, script: string, say: (what: string) => void): Promise<Row[]> {
  say(`opening ${blocks} blocks`)
  const bytes = boreStl(corners), text = boreProgram(blocks)
  const folder = mkdtempSync(join(tmpdir(), 'toolwake-bench-opening-')), store = { folder, limit: 2e9 }
  const fresh: Opened[] = [], kept: Opened[] = [], peer: number[] = []
  try {
    await open(bytes, text, script, store)
    for (let i = 0; i < runs; i++) {
      peer.push(seconds(() => buildBvh(corners)))
      fresh.push(await open(bytes, text, script))
      kept.push(await open(bytes, text, script, store))
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
  const tree = { name: 'three-mesh-bvh alone', value: spread(peer).median }, complete = spread(fresh.map(each => each.complete))
  const row = (name: string, figure: Row['peer'], values: readonly number[]): Row => ({ name: `${name} after opening ${blocks} blocks`, unit: 's', better: 'lower', ...spread(values), peer: figure })
  return [
    row('first findings', tree, fresh.map(each => each.first)),
    row('all findings', tree, fresh.map(each => each.complete)),
    row('all findings from the cache', { name: 'without the cache', value: complete.median }, kept.map(each => each.complete)),
  ]
}

async function open(bytes: Uint8Array, text: string, script: string, store?: StorePlace): Promise<Opened> {
  const before = performance.now(), since = () => (performance.now() - before) / 1000
  const pool = new ContactPool(2, { script, store })
  try {
    const scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
    const opening = pool.openMeshes({ path: 'bore.stl', bytes }, [], scene)
    const program = readProgram({ path: 'bore.nc', text }, scene)
    const { mesh, identity } = await opening
    if (mesh === undefined) throw new Error('the bore cannot be opened')
    pool.load(scene, mesh, [], identity)
    let first: number | undefined
    const figures = await pool.search(program, { epsilon: defaultEpsilon, cancellation: neverCancelled }, run => {
      if (first !== undefined) return
      const soFar = newContactFigures(0, program.toolpath.count)
      placeFigures(soFar, run)
      contactFindings(program, scene, mesh, soFar)
      first = since()
    })
    contactFindings(program, scene, mesh, figures)
    const complete = since()
    if (first === undefined) throw new Error('nothing was searched')
    if (store !== undefined) await pool.keep(program, defaultEpsilon, figures)
    return { first, complete }
  } finally {
    await pool.dispose()
  }
}

function seconds(work: () => unknown): number {
  const before = performance.now()
  work()
  return (performance.now() - before) / 1000
}
