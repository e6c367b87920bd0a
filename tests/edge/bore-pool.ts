import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { build } from 'esbuild'
import { neverCancelled } from '../../shared/cancellation.ts'
import { ContactPool, type PoolOptions } from '../../server/edge/contact-pool.ts'
import { defaultEpsilon, openScene, readProgram, type PartMesh, type ReadProgram } from '../../server/engine/service.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { boreMesh, boreProgram, boreSheet } from '../bench/bore.ts'

/** The bore of the benchmark, small, with threads from a fresh bundle in a folder of their own. */
export class BorePool {
  readonly folder = mkdtempSync(join(tmpdir(), 'toolwake-pool-'))
  readonly script = join(this.folder, 'contact-worker.cjs')
  readonly scene = openScene({ path: 'bore.setup.json', text: boreSheet }, undefined)
  readonly program: ReadProgram
  readonly mesh: PartMesh
  readonly search = { epsilon: defaultEpsilon, cancellation: neverCancelled }
  readonly said: string[] = []
  readonly #pools: ContactPool[] = []

  constructor(blocks: number) {
    this.program = this.read(boreProgram(blocks))
    const { tree } = buildMeshTree(boreMesh(20_000), true)
    this.mesh = { ...tree, chordErrors: new Float32Array(tree.triangleCount) }
  }

  bundle(): Promise<unknown> {
    return build({
      entryPoints: [join(import.meta.dirname, '../../server/edge/contact-worker.ts')], outfile: this.script,
      bundle: true, platform: 'node', format: 'cjs', target: 'node20', mainFields: ['module', 'main'], logLevel: 'error',
    })
  }

  read(text: string): ReadProgram {
    return readProgram({ path: 'bore.nc', text }, this.scene)
  }

  pool(threads: number, options: PoolOptions = {}): ContactPool {
    const pool = new ContactPool(threads, { script: this.script, log: sentence => this.said.push(sentence), ...options })
    pool.load(this.scene, this.mesh, [], 'the bore')
    this.#pools.push(pool)
    return pool
  }

  async remove(): Promise<void> {
    await Promise.all(this.#pools.map(pool => pool.dispose()))
    rmSync(this.folder, { recursive: true, force: true })
  }
}
