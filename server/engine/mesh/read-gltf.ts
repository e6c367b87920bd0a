import { type Affine, composed, identity } from './affine.ts'
import { FacetCollector, tooMany } from './facet-collector.ts'
import { GltfAccessors } from './gltf-accessors.ts'
import { indexOf, type Json, listOf, numbersOf, recordOf, textIn } from './gltf-json.ts'
import type { MeshResult } from './mesh-facets.ts'
import { readOrSay, Unreadable } from './unreadable.ts'
import { textOf } from './zip-archive.ts'

// glTF 2.0, as JSON or as the binary file that wraps JSON and figures: a tree of nodes that lay meshes
// in place. Its unit is the metre, by specification; axes are taken as they stand in the file.

const metres = { mm: 1000, name: 'metres' }

const DEEPEST = 200
const MOST_NODES = 100_000

const Mode = { triangles: 4, strip: 5, fan: 6 } as const

/** Extensions a file may need that say nothing about where its surface is. */
const idle = /^(KHR_materials_|KHR_texture_|KHR_lights_|KHR_xmp|KHR_mesh_quantization$|KHR_animation_|EXT_texture_|EXT_lights_|MSFT_texture_)/

/** Those that lay or change bodies even where a reader may do without them. */
const placing = ['EXT_mesh_gpu_instancing', 'KHR_node_visibility']

export function readGltf(bytes: Uint8Array): MeshResult {
  return readOrSay(() => {
    const { json, own } = isBinaryGltf(bytes) ? unwrap(bytes) : { json: bytes, own: undefined }
    return new GltfReader(parse(json), own).read()
  })
}

export function isBinaryGltf(bytes: Uint8Array): boolean {
  return bytes[0] === 0x67 && bytes[1] === 0x6c && bytes[2] === 0x54 && bytes[3] === 0x46
}

/** The chunks of the binary form: a header of 12 bytes, then length, kind and content of each. */
function unwrap(bytes: Uint8Array): { json: Uint8Array, own: Uint8Array | undefined } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  if (bytes.length < 20) throw cutShort()
  const version = view.getUint32(4, true)
  if (version !== 2) throw new Unreadable(`is glTF of version ${version}; only version 2 is read. Export the part again.`)
  if (view.getUint32(8, true) > bytes.length) throw cutShort()
  const chunk = (at: number, kind: number) => {
    if (at + 8 > bytes.length || view.getUint32(at + 4, true) !== kind) return undefined
    const length = view.getUint32(at, true)
    if (at + 8 + length > bytes.length) throw cutShort()
    return bytes.subarray(at + 8, at + 8 + length)
  }
  const json = chunk(12, 0x4e4f534a)
  if (json === undefined) throw new Unreadable('is damaged: a binary glTF file begins with its JSON. Copy or export the file again.')
  return { json, own: chunk(20 + json.length, 0x004e4942) }
}

function cutShort(): Unreadable {
  return new Unreadable('is cut short: it has fewer bytes than its header says. Copy or export the file again.')
}

function parse(bytes: Uint8Array): Json {
  try {
    return recordOf(JSON.parse(textOf(bytes).replace(/^\uFEFF/, '')))
  } catch {
    throw new Unreadable('cannot be read as glTF: its JSON is damaged or too large. Copy the file again, or export the part as binary STL.')
  }
}

class GltfReader {
  readonly #json: Json
  readonly #accessors: GltfAccessors
  readonly #collector = new FacetCollector()
  #nodes = 0
  #isFull = false
  #hasLines = false
  #moves = false

  constructor(json: Json, own: Uint8Array | undefined) {
    this.#json = json
    this.#accessors = new GltfAccessors(json, own)
  }

  read(): MeshResult {
    const version = textIn(recordOf(this.#json['asset'])['version'])
    if (!version.startsWith('2')) throw new Unreadable(version === '' ? 'is JSON, but not glTF: it has no "asset" with a version. Export the part as STL, PLY, OBJ, 3MF or glTF.' : `is glTF of version ${version.slice(0, 20)}; only version 2 is read. Export the part again.`)
    const needs = listOf(this.#json['extensionsRequired']).map(textIn).filter(name => !idle.test(name))
    needs.push(...listOf(this.#json['extensionsUsed']).map(textIn).filter(name => placing.includes(name) && !needs.includes(name)))
    if (needs.length > 0) throw new Unreadable(`needs extensions of glTF that are not read: ${needs.map(name => name.slice(0, 60)).join(', ')}. Export the part without compression, as plain triangles.`)
    for (const root of this.#roots()) this.#node(root, identity, 0)
    if (this.#isFull) return { failure: tooMany }
    const remarks: string[] = []
    if (this.#hasLines) remarks.push('holds points or lines beside its facets, which are left out.')
    if (this.#moves) remarks.push('has moving bodies (skins or morph targets), which are taken as they stand at rest.')
    return this.#collector.result(metres, remarks)
  }

  /** Nodes of the scene that is shown; where there is none, those that no other node holds. */
  #roots(): readonly unknown[] {
    const scenes = listOf(this.#json['scenes'])
    if (scenes.length > 0) return listOf(recordOf(scenes[indexOf(this.#json['scene']) ?? 0])['nodes'])
    const nodes = listOf(this.#json['nodes']), held = new Set(nodes.flatMap(node => listOf(recordOf(node)['children'])))
    return nodes.map((_, i) => i).filter(i => !held.has(i))
  }

  #node(which: unknown, outer: Affine, depth: number): void {
    if (this.#isFull) return
    if (depth > DEEPEST) throw new Unreadable('is damaged: its nodes hold each other in a circle. Export the part again.')
    if (++this.#nodes > MOST_NODES) throw new Unreadable(`is made of more than ${MOST_NODES} bodies laid out one by one. Export the part as one mesh.`)
    const index = indexOf(which), node = index === undefined ? undefined : listOf(this.#json['nodes'])[index]
    if (node === undefined) throw new Unreadable('is damaged: its scene names a node that is not in it. Copy or export the file again.')
    const description = recordOf(node), place = composed(outer, placeOf(description))
    if (description['skin'] !== undefined || description['weights'] !== undefined) this.#moves = true
    if (description['mesh'] !== undefined) this.#mesh(description['mesh'], place)
    for (const child of listOf(description['children'])) this.#node(child, place, depth + 1)
  }

  #mesh(which: unknown, place: Affine): void {
    const index = indexOf(which), mesh = index === undefined ? undefined : listOf(this.#json['meshes'])[index]
    if (mesh === undefined) throw new Unreadable('is damaged: a node in it names a mesh that is not in it. Copy or export the file again.')
    if (recordOf(mesh)['weights'] !== undefined) this.#moves = true
    for (const primitive of listOf(recordOf(mesh)['primitives'])) {
      if (this.#isFull) return
      const description = recordOf(primitive), mode = description['mode'] ?? Mode.triangles
      if (mode !== Mode.triangles && mode !== Mode.strip && mode !== Mode.fan) {
        this.#hasLines = true
        continue
      }
      const position = recordOf(description['attributes'])['POSITION']
      if (position === undefined) throw new Unreadable('is damaged: a mesh in it has no places ("POSITION"). Copy or export the file again.')
      const vertices = this.#accessors.values(position, 'VEC3')
      const indices = description['indices'] === undefined ? undefined : this.#accessors.values(description['indices'], 'SCALAR')
      if (!this.#collector.usePlaced(vertices, place) || !this.#triangles(mode, indices, indices?.length ?? vertices.length / 3)) this.#isFull = true
    }
  }

  #triangles(mode: unknown, indices: Float64Array | undefined, size: number): boolean {
    const corner = (i: number) => indices === undefined ? i : indices[i]
    const step = mode === Mode.triangles ? 3 : 1
    for (let i = 0; i + 2 < size; i += step) {
      // Every second triangle of a strip runs the other way round.
      const [a, b, c] = mode === Mode.fan ? [0, i + 1, i + 2] : mode === Mode.strip && i % 2 === 1 ? [i, i + 2, i + 1] : [i, i + 1, i + 2]
      if (!this.#collector.triangle(corner(a), corner(b), corner(c))) return false
    }
    return true
  }
}

/** A node's own place: a matrix, column after column, or scale, then turn (x y z w), then way. */
function placeOf(node: Json): Affine {
  if (node['matrix'] !== undefined) {
    const m = numbersOf(node['matrix'], 16)
    if (m === undefined) throw new Unreadable('is damaged: a node in it has a matrix without sixteen numbers. Copy or export the file again.')
    return [m[0], m[4], m[8], m[12], m[1], m[5], m[9], m[13], m[2], m[6], m[10], m[14]]
  }
  const way = numbersOf(node['translation'] ?? [0, 0, 0], 3), turn = numbersOf(node['rotation'] ?? [0, 0, 0, 1], 4), scale = numbersOf(node['scale'] ?? [1, 1, 1], 3)
  if (way === undefined || turn === undefined || scale === undefined) throw new Unreadable('is damaged: a node in it is laid by something else than numbers. Copy or export the file again.')
  const [x, y, z, w] = turn, [sx, sy, sz] = scale
  return [
    (1 - 2 * (y * y + z * z)) * sx, 2 * (x * y - z * w) * sy, 2 * (x * z + y * w) * sz, way[0],
    2 * (x * y + z * w) * sx, (1 - 2 * (x * x + z * z)) * sy, 2 * (y * z - x * w) * sz, way[1],
    2 * (x * z - y * w) * sx, 2 * (y * z + x * w) * sy, (1 - 2 * (x * x + y * y)) * sz, way[2],
  ]
}
