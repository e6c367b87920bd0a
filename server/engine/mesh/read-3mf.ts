import { type Affine, composed, identity } from './affine.ts'
import { FacetCollector, tooMany } from './facet-collector.ts'
import type { FileUnit, MeshResult } from './mesh-facets.ts'
import { type Instance, type Model, readModel } from './model-3mf.ts'
import { readOrSay, Unreadable } from './unreadable.ts'
import { XmlTags } from './xml-tags.ts'
import { readZipDirectory, unpack, type ZipEntry } from './zip-archive.ts'

// 3MF: a zip archive whose root names a model part. The model states its unit and what is built of
// its objects, each laid by a transform, each a mesh or made of components.

/** Unpacked, all parts together: as much as a mesh file may have at all. */
const LARGEST_MODEL = 1000 * 2 ** 20
const LARGEST_LIST = 2 ** 20

/** Objects and components laid out in all, and one within the other. */
const MOST_INSTANCES = 100_000
const DEEPEST = 50

const rootModel = 'http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel'

export function read3mf(bytes: Uint8Array): MeshResult {
  return readOrSay(() => new PackageReader(bytes).read())
}

class PackageReader {
  readonly #bytes: Uint8Array
  readonly #directory: Map<string, ZipEntry>
  readonly #models = new Map<string, Model>()
  readonly #collector = new FacetCollector()
  #unpacked = 0
  #instances = 0
  #support = 0

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes
    this.#directory = readZipDirectory(bytes)
  }

  read(): MeshResult {
    const root = this.#rootPath(), model = this.#model(root)
    if (model.build.length === 0) return { failure: 'is a 3MF model that builds nothing: its list of what is built is empty. Export the part again.' }
    const { unit } = model
    for (const item of model.build) {
      if (!this.#lay(item, root, identity, unit, 0)) return { failure: tooMany }
    }
    const remarks: string[] = []
    if (this.#support > 0) remarks.push('builds support structures beside the part, which are left out.')
    const needs = [...new Set([...this.#models.values()].flatMap(each => each.needs))]
    if (needs.length > 0) remarks.push(`needs extensions of 3MF that are not read: ${needs.map(space => space.slice(0, 100)).join(', ')}. Nothing is checked against the bodies they describe; export the part as plain triangles.`)
    return this.#collector.result(unit, remarks)
  }

  /** False once there are too many triangles. */
  #lay({ id, path, place }: Instance, from: string, outer: Affine, unit: FileUnit, depth: number): boolean {
    if (depth > DEEPEST) throw new Unreadable('is damaged: an object in it is a component of itself. Export the part again.')
    if (++this.#instances > MOST_INSTANCES) throw new Unreadable(`is made of more than ${MOST_INSTANCES} objects laid out one by one. Export the part as one mesh.`)
    const part = path === undefined ? from : partName(path), model = this.#model(part), object = model.objects.get(id)
    if (object === undefined) throw new Unreadable(`is damaged: it builds an object "${id.slice(0, 40)}" that is not in it. Export the part again.`)
    if (object.type === 'support') {
      this.#support++
      return true
    }
    // All parts are in the unit of the root model; one that says otherwise is taken at its word.
    const grown = model.unit.mm / unit.mm
    const within = composed(outer, place ?? identity)
    const { vertices, triangles, components } = object
    if (triangles.length > 0) {
      const lie = grown === 1 ? within : composed(within, identity.map(entry => entry * grown))
      if (!this.#collector.usePlaced(vertices, lie)) return false
      for (let i = 0; i < triangles.length; i += 3) if (!this.#collector.triangle(triangles[i], triangles[i + 1], triangles[i + 2])) return false
    }
    return components.every(component => this.#lay(component, part, within, unit, depth + 1))
  }

  #model(part: string): Model {
    const known = this.#models.get(part)
    if (known !== undefined) return known
    const entry = this.#directory.get(part)
    if (entry === undefined) throw new Unreadable(`is a packed file without the model "${part.slice(0, 80)}" that a 3MF file has. It is another kind of file or damaged; export the part again.`)
    const bytes = unpack(this.#bytes, entry, LARGEST_MODEL - this.#unpacked)
    this.#unpacked += bytes.length
    const model = readModel(bytes)
    this.#models.set(part, model)
    return model
  }

  /** The part that the package's root names as its model. */
  #rootPath(): string {
    const entry = this.#directory.get('_rels/.rels')
    if (entry === undefined) throw new Unreadable('is a packed file (a zip archive) but no 3MF model: the list of its parts is missing. Unpack it, or export the part again as STL, PLY, OBJ, 3MF or glTF.')
    const tags = new XmlTags(unpack(this.#bytes, entry, LARGEST_LIST))
    while (tags.next()) {
      const target = tags.text('Target')
      if (tags.is('Relationship') && !tags.closes && tags.text('Type') === rootModel && target !== undefined) return partName(target)
    }
    throw new Unreadable('is a packed file but no 3MF model: none of its parts is named as the model. Export the part again.')
  }
}

function partName(path: string): string {
  return path.replace(/^\/+/, '').toLowerCase()
}
