import type { Affine } from './affine.ts'
import type { FileUnit } from './mesh-facets.ts'
import { Unreadable } from './unreadable.ts'
import { XmlTags } from './xml-tags.ts'

// One model part of a 3MF package: its objects (a mesh, or components that name other objects), and
// what of them is built.

/** An object somewhere in the package, and how it lies. */
export interface Instance {
  readonly id: string
  /** Another model part of the package; absent: this one. */
  readonly path?: string
  readonly place?: Affine
}

export interface ModelObject {
  readonly type: string
  readonly vertices: Float64Array
  /** Numbers of corners from 0, three a triangle. */
  readonly triangles: Float64Array
  readonly components: readonly Instance[]
}

export interface Model {
  readonly unit: FileUnit
  readonly objects: ReadonlyMap<string, ModelObject>
  readonly build: readonly Instance[]
  /** Extensions it cannot be understood without, by name space, besides those that do not add surface. */
  readonly needs: readonly string[]
}

const units: Readonly<Record<string, FileUnit>> = {
  micron: { mm: 0.001, name: 'micrometres' },
  millimeter: { mm: 1, name: 'millimetres' },
  centimeter: { mm: 10, name: 'centimetres' },
  inch: { mm: 25.4, name: 'inches' },
  foot: { mm: 304.8, name: 'feet' },
  meter: { mm: 1000, name: 'metres' },
}

/** Name spaces of extensions that add no surface, or whose surface is read here: parts of the package, colours, groups of triangles. */
const understood = /\/(production|material|trianglesets)\/\d{4}\/\d{2}$/

export function readModel(bytes: Uint8Array): Model {
  const tags = new XmlTags(bytes)
  let unit: FileUnit | undefined, ended = false
  const objects = new Map<string, ModelObject>(), build: Instance[] = [], needs: string[] = []
  while (tags.next()) {
    if (tags.is('model')) {
      if (tags.closes || tags.isEmpty) ended = true
      if (tags.closes || unit !== undefined) continue
      const named = tags.text('unit') ?? 'millimeter'
      unit = units[named]
      if (unit === undefined) throw new Unreadable(`says that its unit is "${named.slice(0, 40)}", which is none of ${Object.keys(units).join(', ')}. Export the part again.`)
      for (const prefix of (tags.text('requiredextensions') ?? '').split(/\s+/).filter(word => word !== '')) {
        const space = tags.text(prefix) ?? prefix
        if (!understood.test(space)) needs.push(space)
      }
    } else if (tags.is('object') && !tags.closes) {
      const id = tags.text('id')
      if (id === undefined) throw new Unreadable('cannot be read as 3MF: an object in it has no "id". Export the part again.')
      objects.set(id, readObject(tags))
    } else if (tags.is('item') && !tags.closes) build.push(instanceOf(tags))
  }
  if (unit === undefined) throw new Unreadable('is a packed file whose model holds no "model". Export the part again as 3MF.')
  if (!ended) throw new Unreadable('is damaged: the model in it does not end. Copy or export the file again.')
  return { unit, objects, build, needs }
}

/** From the object's own tag to its end. */
function readObject(tags: XmlTags): ModelObject {
  const type = tags.text('type') ?? 'model'
  const vertices = new NumberList(), triangles = new NumberList(), components: Instance[] = []
  if (!tags.isEmpty) {
    while (tags.next() && !(tags.closes && tags.is('object'))) {
      if (tags.closes) continue
      if (tags.is('triangle')) triangles.push(tags.number('v1'), tags.number('v2'), tags.number('v3'))
      else if (tags.is('vertex')) vertices.push(tags.number('x'), tags.number('y'), tags.number('z'))
      else if (tags.is('component')) components.push(instanceOf(tags))
    }
  }
  return { type, vertices: vertices.values(), triangles: triangles.values(), components }
}

function instanceOf(tags: XmlTags): Instance {
  const id = tags.text('objectid')
  if (id === undefined) throw new Unreadable('cannot be read as 3MF: it builds an object without saying which ("objectid"). Export the part again.')
  const path = tags.text('path'), transform = tags.text('transform')
  return { id, ...(path === undefined ? {} : { path }), ...(transform === undefined ? {} : { place: placeOf(transform) }) }
}

/** Twelve numbers, column after column of what stands here in rows. */
function placeOf(text: string): Affine {
  const m = text.trim().split(/\s+/).map(Number)
  if (m.length !== 12 || !m.every(Number.isFinite)) throw new Unreadable(`cannot be read as 3MF: "${text.slice(0, 60)}" is no transform of twelve numbers. Export the part again.`)
  return [m[0], m[3], m[6], m[9], m[1], m[4], m[7], m[10], m[2], m[5], m[8], m[11]]
}

class NumberList {
  #values = new Float64Array(3 * 256)
  #used = 0

  push(a: number, b: number, c: number): void {
    if (this.#used === this.#values.length) {
      const larger = new Float64Array(this.#used * 2)
      larger.set(this.#values)
      this.#values = larger
    }
    this.#values[this.#used++] = a
    this.#values[this.#used++] = b
    this.#values[this.#used++] = c
  }

  values(): Float64Array {
    return this.#values.slice(0, this.#used)
  }
}
