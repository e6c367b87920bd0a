import { createHash } from 'node:crypto'
import type { KeptMesh, MeshKeeper, Obstacle, PartMesh } from '../engine/service.ts'
import type { MeshPlacement } from '../../shared/setup.ts'
import { packRecord, unpackRecord } from './packed-record.ts'
import type { ResultStore } from './result-store.ts'

const kind = 'mesh'

interface Words extends Omit<KeptMesh, 'mesh'> {
  readonly mesh: Omit<PartMesh, 'corners' | 'nodes' | 'links' | 'chordErrors'>
}

/**
 * Meshes as they were once read, inspected, laid in their frame and given a tree. The key is the file's content with all of its
 * placement that counts; where the sheet names it does not.
 */
export class KeptMeshes implements MeshKeeper {
  readonly #store: ResultStore | undefined
  readonly #engine: string
  /** Keys by the corners that were made of a file. */
  readonly #keys = new WeakMap<Float64Array, string>()

  /** `engine`: what tells this engine from every other one. Without a store, keys are all there is. */
  constructor(store: ResultStore | undefined, engine: string) {
    this.#store = store
    this.#engine = engine
  }

  recall(bytes: Uint8Array, name: string, placement: MeshPlacement): KeptMesh | undefined {
    const key = this.#keyOf(bytes, name, placement)
    const record = this.#store?.read(kind, key, typeof SharedArrayBuffer !== 'undefined')
    if (record === undefined) return undefined
    const { words, arrays: { corners, nodes, links, chordErrors } } = unpackRecord(record), { mesh, problems } = words as Words
    if (!(corners instanceof Float64Array && nodes instanceof Float32Array && links instanceof Int32Array && chordErrors instanceof Float32Array)) return undefined
    this.#keys.set(corners, key)
    return { problems, mesh: { ...mesh, corners, nodes, links, chordErrors } }
  }

  keep(bytes: Uint8Array, name: string, placement: MeshPlacement, { mesh: { corners, nodes, links, chordErrors, ...rest }, problems }: KeptMesh): void {
    const key = this.#keyOf(bytes, name, placement), words: Words = { problems, mesh: rest }
    this.#keys.set(corners, key)
    this.#store?.write(kind, key, packRecord(words, { corners, nodes, links, chordErrors }))
  }

  /** Names part and obstacles by their content: the same name, the same triangles in the same order. */
  identityOf(part: PartMesh, obstacles: readonly Obstacle[]): string {
    const contents = obstacles.map(({ kind: what, index, tree, grown = 0 }) => [what, index, grown, this.#contentOf(tree.corners)])
    return JSON.stringify([this.#contentOf(part.corners), contents])
  }

  #contentOf(corners: Float64Array): string {
    return this.#keys.get(corners) ?? createHash('sha256').update(new Uint8Array(corners.buffer, corners.byteOffset, corners.byteLength)).digest('hex')
  }

  #keyOf(bytes: Uint8Array, name: string, { scale, unitSaid, translate, rotate }: MeshPlacement): string {
    return createHash('sha256').update(JSON.stringify([this.#engine, name, scale, unitSaid, translate, rotate])).update('\n').update(bytes).digest('hex')
  }
}

/** What tells this engine from every other one: the code of its thread, and the machine that runs it. */
export function engineIdentity(script: Uint8Array): string {
  return [createHash('sha256').update(script).digest('hex'), process.versions.v8, process.arch].join(' ')
}

