import { Mesh, type BufferGeometry } from 'three'
import { OBJLoader } from 'three/examples/jsm/loaders/OBJLoader.js'
import { PLYLoader } from 'three/examples/jsm/loaders/PLYLoader.js'
import { describe, expect, it } from 'vitest'
import { readMesh } from '../../server/engine/mesh/read-mesh.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { asciiStl, binaryStl, box, bytesOf, sphere } from './bodies.ts'
import { asciiPly, binaryPly, glb, gltf, gltfParts, modelXml, obj, packed } from './mesh-files.ts'

const cube = box([10, 20, 30])

/** Every form of one body whose figures a float32 holds. */
function forms(corners: Float64Array): [string, Uint8Array][] {
  return [
    ['STL, binary', binaryStl(corners)], ['STL, text', bytesOf(asciiStl(corners))], ['PLY, text', bytesOf(asciiPly(corners))],
    ['PLY, little end first', binaryPly(corners, true)], ['PLY, big end first', binaryPly(corners, false)], ['OBJ', bytesOf(obj(corners))],
    ['3MF', packed(modelXml(corners))], ['3MF, not packed tighter', packed(modelXml(corners), {}, 0)],
    ['glTF', gltf(gltfParts(corners))], ['glTF, binary', glb(gltfParts(corners))],
  ]
}

describe('the same body has the same triangles in every form', () => {
  const ball = Float64Array.from(sphere(40, 2), value => Math.fround(value))
  it.each(forms(ball))('%s', (_, bytes) => {
    const { corners, unit, problems } = readMesh(bytes, 'part')
    expect(problems).toEqual([])
    // Metres in float32 are rounded to some nanometres.
    const mm = unit?.mm ?? 1
    expect(corners?.length).toBe(ball.length)
    const off = ball.map((value, i) => Math.abs((corners?.[i] ?? NaN) * mm - value))
    expect(Math.max(...off)).toBeLessThan(mm === 1000 ? 4e-6 : 1e-12)
  })

  it.each(forms(cube))('%s from the middle of a larger buffer', (_, bytes) => {
    const shifted = new Uint8Array(bytes.length + 9).fill(88)
    shifted.set(bytes, 3)
    expect(readMesh(shifted.subarray(3, 3 + bytes.length), 'part')).toEqual(readMesh(bytes, 'part'))
  })

  it('the unit is the file\'s where it states one', () => {
    expect(forms(cube).map(([, bytes]) => readMesh(bytes, 'part').unit?.mm)).toEqual([undefined, undefined, undefined, undefined, undefined, undefined, 1, 1, 1000, 1000])
  })
})

describe('other readers see the same (three\'s loaders, which keep float32)', () => {
  const numbersOf = (geometry: BufferGeometry) => {
    const flat = geometry.index === null ? geometry : geometry.toNonIndexed()
    return [...flat.getAttribute('position').array]
  }
  const rounded = (corners: Float64Array | undefined) => [...corners ?? []].map(Math.fround)

  it.each([1, 2, 3])('PLY with polygons and strange figures, seed %i', seed => {
    const random = new SeededRandom(seed), count = 30
    const vertices = Array.from({ length: count }, () => [0, 1, 2].map(() => random.between(-100, 100)))
    const faces = Array.from({ length: 40 }, () => Array.from({ length: random.whole(3, 4) }, () => random.whole(0, count - 1)))
    const triangles = faces.filter(face => face.length === 3)
    const text = `ply\nformat ascii 1.0\nelement vertex ${count}\nproperty float x\nproperty float y\nproperty float z\nelement face ${triangles.length}\nproperty list uchar int vertex_indices\nend_header\n`
      + vertices.map(vertex => `${vertex.join(' ')}\n`).join('') + triangles.map(face => `${face.length} ${face.join(' ')}\n`).join('')
    expect(rounded(readMesh(bytesOf(text), 'part').corners)).toEqual(numbersOf(new PLYLoader().parse(text)))
  })

  it.each([1, 2, 3])('OBJ with convex polygons and relative corners, seed %i', seed => {
    const random = new SeededRandom(seed)
    let text = ''
    for (let facet = 0; facet < 30; facet++) {
      const size = random.whole(3, 7), middle = [0, 1, 2].map(() => random.between(-50, 50)), radius = random.between(1, 9)
      for (let i = 0; i < size; i++) text += `v ${middle[0] + radius * Math.cos(2 * Math.PI * i / size)} ${middle[1] + radius * Math.sin(2 * Math.PI * i / size)} ${middle[2]}\n`
      const first = text.split('\n').filter(line => line.startsWith('v')).length - size
      text += `f ${Array.from({ length: size }, (_, i) => random.next() < 0.5 ? first + 1 + i : i - size).join(' ')}\n`
    }
    const meshes = new OBJLoader().parse(text).children.flatMap(child => child instanceof Mesh ? numbersOf(child.geometry as BufferGeometry) : [])
    expect(meshes.length).toBeGreaterThan(300)
    expect(rounded(readMesh(bytesOf(text), 'part').corners)).toEqual(meshes)
  })
})

/** Damage as it comes: single bytes, ends cut off, rubbish behind, ranges overwritten, two places swapped. */
function damaged(whole: Uint8Array, random: SeededRandom): Uint8Array {
  let bytes = whole.slice()
  for (let times = random.whole(1, 6); times > 0 && bytes.length > 0; times--) {
    const at = random.whole(0, bytes.length - 1)
    switch (random.whole(0, 5)) {
      case 0: bytes[at] = random.whole(0, 255); break
      case 1: bytes = bytes.slice(0, random.whole(bytes.length >> 1, bytes.length)); break
      case 2: bytes = Uint8Array.of(...bytes, ...Array.from({ length: random.whole(0, 60) }, () => random.whole(0, 255))); break
      case 3: bytes.fill(random.whole(0, 255), at, at + random.whole(0, 40)); break
      case 4: bytes.copyWithin(at, random.whole(0, bytes.length - 1), random.whole(0, bytes.length)); break
      default: bytes.fill(random.pick([48, 57, 45, 46, 101]), at, at + random.whole(1, 9))
    }
  }
  return bytes
}

describe.each([4, 2027])('damaged files, seed %i', seed => {
  it.each(forms(cube))('%s never makes the reader throw, and costs little', (_, whole) => {
    const random = new SeededRandom(seed), before = performance.now()
    for (let run = 0; run < 1500; run++) {
      const { corners, problems } = readMesh(damaged(whole, random), 'part')
      expect(corners !== undefined || problems.some(problem => problem.rule === 'mesh-unreadable')).toBe(true)
      for (const { message } of problems) {
        expect(message).toMatch(/^part/)
        expect(message).not.toMatch(/undefined|\[object/)
      }
      if (corners === undefined) continue
      expect(corners.length % 9).toBe(0)
      expect(corners.length).toBeGreaterThan(0)
      expect(corners.every(Number.isFinite)).toBe(true)
    }
    expect(performance.now() - before).toBeLessThan(30_000)
  })

  it('the model within a 3MF file, and the JSON of a glTF file', () => {
    const random = new SeededRandom(seed), latin = (bytes: Uint8Array) => Buffer.from(bytes).toString('latin1')
    const model = bytesOf(modelXml(cube)), parts = gltfParts(cube), json = bytesOf(JSON.stringify(parts.json))
    for (let run = 0; run < 1000; run++) {
      const asModel = readMesh(packed(latin(damaged(model, random)), {}, 0), 'part')
      expect(asModel.corners !== undefined || asModel.problems.length === 1).toBe(true)
      let changed: unknown
      try {
        changed = JSON.parse(latin(damaged(json, random)))
      } catch {
        continue
      }
      if (typeof changed !== 'object' || changed === null) continue
      const asGltf = readMesh(glb({ json: { ...changed }, figures: parts.figures }), 'part')
      expect(asGltf.corners !== undefined || asGltf.problems.length === 1).toBe(true)
    }
  })

  it('values of a glTF file that are of another kind', () => {
    const random = new SeededRandom(seed), parts = gltfParts(cube), text = JSON.stringify(parts.json)
    const values = ['null', '-1', '1e9', '0.5', '""', '"VEC3"', '[]', '{}', '[0]', 'true', '5126', '5121', '4294967295', '9007199254740991']
    for (let run = 0; run < 2000; run++) {
      const places = [...text.matchAll(/(?<=[:[,])("[^"]*"|[\d.]+)(?=[,\]}])/g)], place = random.pick(places)
      const changed = text.slice(0, place.index) + random.pick(values) + text.slice(place.index + place[0].length)
      const { corners, problems } = readMesh(glb({ json: JSON.parse(changed) as Record<string, unknown>, figures: parts.figures }), 'part')
      expect(corners !== undefined || problems.length === 1, changed).toBe(true)
    }
  })
})
