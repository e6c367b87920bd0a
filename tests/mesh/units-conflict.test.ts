import { describe, expect, it } from 'vitest'
import { openMesh, openScene } from '../../server/engine/service.ts'
import { box, bytesOf } from './bodies.ts'
import { glb, gltfParts, modelXml, obj, packed } from './mesh-files.ts'

// Whose unit counts: the file's own where it states one, else the sheet's for the mesh, else the sheet's.

const cube = box([10, 20, 30])

function opened(bytes: Uint8Array, part: string, rest = '') {
  const sheet = `{ ${rest}"offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }, "part": { "mesh": "part.any"${part} }, "tools": [] }`
  const { mesh, findings } = openMesh({ path: 'part.any', bytes }, openScene({ path: 'a.setup.json', text: sheet }, undefined))
  return { size: mesh?.max.map((value, k) => Math.round((value - mesh.min[k]) * 1e4) / 1e4), said: findings.map(({ rule, message }) => `${rule}: ${message}`) }
}

describe('the unit of a mesh', () => {
  it.each<[string, Uint8Array, string, string, number]>([
    ['OBJ, as the sheet', bytesOf(obj(cube)), '', '', 1],
    ['OBJ in a sheet in inches', bytesOf(obj(cube)), '', '"units": "inch", ', 25.4],
    ['OBJ in mm in a sheet in inches', bytesOf(obj(cube)), ', "units": "mm"', '"units": "inch", ', 1],
    ['3MF in mm in a sheet in inches', packed(modelXml(cube)), '', '"units": "inch", ', 1],
    ['3MF in inches', packed(modelXml(cube, 'inch')), '', '', 25.4],
    ['3MF in inches, as the sheet says', packed(modelXml(cube, 'inch')), ', "units": "inch"', '', 25.4],
    ['glTF in metres', glb(gltfParts(cube)), '', '', 1],
  ])('%s', (_, bytes, part, rest, mm) => {
    const { size, said } = opened(bytes, part, rest)
    expect(size).toEqual([10, 20, 30].map(length => Math.round(length * mm * 1e4) / 1e4))
    expect(said).toEqual([])
  })

  it.each<[string, Uint8Array, string, number[]]>([
    ['3MF in mm, which the sheet calls inches', packed(modelXml(cube)), 'is in millimetres by what the file itself says, and the sheet says "units": "inch"', [10, 20, 30]],
    ['glTF, which the sheet calls inches', glb(gltfParts(cube)), 'is in metres by what the file itself says', [10, 20, 30]],
  ])('%s: the file counts, and it is said', (_, bytes, why, size) => {
    const found = opened(bytes, ', "units": "inch"')
    expect(found.size).toEqual(size)
    expect(found.said).toEqual([expect.stringContaining(`mesh-units-doubtful: part.any ${why}`)])
  })
})
