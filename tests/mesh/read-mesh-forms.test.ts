import { deflateSync } from 'node:zlib'
import { zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { readMesh } from '../../server/engine/mesh/read-mesh.ts'
import { box, bytesOf, inverted } from './bodies.ts'
import { archive, asciiPly, binaryPly, glb, gltf, gltfParts, modelXml, obj, packed, rels } from './mesh-files.ts'

const cube = box([10, 20, 30])

function read(file: Uint8Array | string) {
  return readMesh(typeof file === 'string' ? bytesOf(file) : file, 'part')
}

function said(file: Uint8Array | string): string[] {
  return read(file).problems.map(({ rule, message }) => `${rule}: ${message}`)
}

/** Corners as rows, mm. */
function places(file: Uint8Array | string): number[][] {
  const { corners = new Float64Array(0), unit } = read(file)
  return Array.from({ length: corners.length / 3 }, (_, i) => [...corners.subarray(3 * i, 3 * i + 3)].map(value => Number((value * (unit?.mm ?? 1)).toFixed(6)) + 0))
}

const square = [[0, 0, 0], [4, 0, 0], [4, 4, 0], [0, 4, 0]]
const halves = [square[0], square[1], square[2], square[0], square[2], square[3]]

describe('PLY', () => {
  const header = (vertices: number, faces: number) => `ply\nformat ascii 1.0\nelement vertex ${vertices}\nproperty float x\nproperty float y\nproperty float z\nelement face ${faces}\nproperty list uchar int vertex_indices\nend_header\n`
  const four = `${header(4, 1)}0 0 0\n4 0 0\n4 4 0\n0 4 0\n`

  it('cuts polygons into a fan', () => expect(places(`${four}4 0 1 2 3\n`)).toEqual(halves))

  it('an arrow is cut from the corner where the fan stays within it', () => {
    const arrow = `${header(4, 1)}0 0 0\n4 4 0\n0 8 0\n1 4 0\n`
    expect(said(`${arrow}4 0 1 2 3\n`)).toEqual([])
    expect(places(`${arrow}4 0 1 2 3\n`)).toEqual([[4, 4, 0], [0, 8, 0], [1, 4, 0], [4, 4, 0], [1, 4, 0], [0, 0, 0]])
  })

  it('says where no fan fits', () => {
    const comb = `${header(8, 1)}0 0 0\n9 0 0\n9 9 0\n8 9 0\n8 1 0\n1 1 0\n1 9 0\n0 9 0\n8 0 1 2 3 4 5 6 7\n`
    expect(said(comb)).toEqual([expect.stringContaining('mesh-damaged: part has a polygon that turns inward so far')])
  })

  it('leaves out facets that name corners the file does not hold', () => {
    const { corners, problems } = read(`${header(4, 3)}0 0 0\n4 0 0\n4 4 0\n0 4 0\n3 0 1 2\n3 0 1 4\n2 0 1\n`)
    expect(corners?.length).toBe(9)
    expect(problems).toMatchObject([{ rule: 'mesh-damaged', message: expect.stringContaining('2 facets of 3 left out, because they have fewer than three corners or name corners') }])
  })

  it.each<[string, Uint8Array | string, string]>([
    ['only points', asciiPly(cube).replace(/element face[^]*?indices\n/, ''), 'without facets'],
    ['no corners', asciiPly(cube).replace('element vertex', 'element knot'), 'without corners'],
    ['no height', asciiPly(cube).replace('property double z', 'property double w'), 'corners have no "z"'],
    ['no lists', asciiPly(cube).replace('vertex_indices', 'edges'), 'do not list their corners'],
    ['no end', asciiPly(cube).slice(0, asciiPly(cube).indexOf('end_header')), 'header has no end'],
    ['another format', asciiPly(cube).replace('format ascii', 'format octal'), 'the format "octal" is none of'],
    ['another type', asciiPly(cube).replace('property double x', 'property quad x'), '"property quad x" is not understood on line 5'],
    ['a word', asciiPly(cube).replace('10 0 0', 'ten 0 0'), '"ten" on line'],
    ['cut short', asciiPly(cube).slice(0, -30), 'is cut short: its header says 12 facets'],
    ['cut short, binary', binaryPly(cube, true).subarray(0, 400), 'is cut short'],
    ['a huge count', asciiPly(cube).replace('vertex 8', 'vertex 4000000000'), 'is cut short: its header says 4,000,000,000 corners'],
    ['a huge list', asciiPly(cube).replace('\n3 ', '\n4000000000 '), 'is cut short'],
    ['facets first', 'ply\nformat ascii 1.0\nelement face 1\nproperty list uchar int vertex_indices\nelement vertex 1\nproperty float x\nend_header\n3 0 0 0\n0\n', 'facets before its corners'],
  ])('%s', (_, file, why) => expect(said(file)).toEqual([expect.stringMatching(`^mesh-unreadable: part .*${why.replace(/[()"]/g, '.')}`)]))

  it('an element without properties takes no time, whatever its count', () => {
    expect(said(asciiPly(cube).replace('element vertex', 'element nothing 4000000000000\nelement vertex'))).toEqual([])
  })
})

describe('OBJ', () => {
  const four = 'v 0 0 0\nv 4 0 0 1.0\nv 4 4 0\nv 0 4 0\n'

  it('counts corners from 1, and backward from the last one', () => {
    expect(places(`${four}f 1 2 3 4\n`)).toEqual(halves)
    expect(places(`${four}f -4 -3 -2 -1\n`)).toEqual(halves)
    expect(places(`${four}f 1/9/9 2//9 3/9 -1\nv 9 9 9\n`)).toEqual(halves)
  })

  it('takes corners that come later, lines that go on, comments behind a facet', () => {
    expect(places(`f 1 2 \\\n 3 4 # all four\n${four}`)).toEqual(halves)
    expect(places(`${four}f 1 2 \\\r\n3 4\r\n`)).toEqual(halves)
  })

  it('a facet with a corner 0 or beyond the last is left out', () => {
    expect(said(`${four}f 1 2 3\nf 0 1 2\nf 1 2 5\nf -5 1 2\n`)).toEqual([expect.stringContaining('3 facets of 4 left out')])
  })

  it('names what it leaves out', () => {
    expect(said(`${four}f 1 2 3\nsurf 0 1 0 1 1 2 3\n`)).toEqual([expect.stringContaining('free-form curves or surfaces')])
    expect(said(`${four}f 1 2 3\nhello there\nhello again\n`)).toEqual([expect.stringContaining('2 lines that are not understood and left out, the first with "hello" on line 6')])
  })

  it.each<[string, string, string]>([
    ['a word', 'v 0 0 zero\nf 1 1 1\n', '"zero" on line 1 is not a number'],
    ['decimal commas', 'v 0,5 0 0\n', 'writes its numbers with a comma ("0,5" on line 1)'],
    ['two figures', 'v 1 2\n', 'fewer than three figures on line 1'],
    ['no facets', 'v 0 0 0\nv 1 0 0\n', 'holds no facets'],
    ['a facet of words', `${four}f a b c\n`, '"a" on line 5 is not a number'],
  ])('%s', (_, text, why) => expect(said(text)).toEqual([expect.stringContaining(why)]))

  it('is known behind a long comment', () => expect(places(`${'# made by somebody\n'.repeat(900)}${four}f 1 2 3 4\n`)).toEqual(halves))
})

describe('3MF', () => {
  // Units of the core specification; millimetres where none is stated.
  it.each([['micron', 0.001], ['millimeter', 1], ['centimeter', 10], ['inch', 25.4], ['foot', 304.8], ['meter', 1000]])('%s is %f mm', (unit, mm) => {
    expect(read(packed(modelXml(cube, unit))).unit?.mm).toBe(mm)
  })

  it('is in millimetres where it states no unit', () => expect(read(packed(modelXml(cube).replace(' unit="millimeter"', ''))).unit?.mm).toBe(1))

  it('lays out items and components by their transforms', () => {
    // Rows of the matrix multiply from the left: (x, y, z, 1) · M. A quarter turn about z, then 100 along x.
    const turned = packed(modelXml(cube, 'millimeter', '<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 100 0 0"/>',
      '<object id="2"><components><component objectid="1"/><component objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 5"/></components></object>'))
    const quarter = (dz: number) => Array.from({ length: 36 }, (_, i) => [100 - cube[3 * i + 1], cube[3 * i], cube[3 * i + 2] + dz])
    expect(places(turned)).toEqual([...quarter(0), ...quarter(5)])
  })

  it('a mirrored body keeps its facets outward', () => {
    const mirrored = read(packed(modelXml(cube, 'millimeter', '<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>'))).corners
    expect(mirrored).toEqual(inverted(cube.map((value, i) => i % 3 === 0 ? 0 - value : value)))
  })

  it('finds objects in other parts of the package', () => {
    const other = modelXml(cube, 'millimeter', '').replace('id="1"', 'id="7"')
    const root = modelXml([], 'millimeter', '<item objectid="2"/>', '<object id="2"><components><component p:path="/3D/Objects/a.model" objectid="7"/></components></object>')
    expect(read(packed(root, { '3D/Objects/a.model': other })).corners).toEqual(cube)
  })

  it('leaves out support structures, and says so', () => {
    const model = modelXml(cube, 'millimeter', '<item objectid="1"/><item objectid="1b"/>', modelXml(cube).match(/<object.*<\/object>/s)?.[0].replace('id="1" type="model"', 'id="1b" type="support"'))
    expect(read(packed(model)).corners).toEqual(cube)
    expect(said(packed(model))).toEqual([expect.stringContaining('support structures')])
  })

  it('names extensions it would need', () => {
    const model = modelXml(cube).replace('<model ', '<model requiredextensions="b" xmlns:b="http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02" ')
    expect(said(packed(model))).toEqual([expect.stringContaining('beamlattice/2017/02')])
    const parts = modelXml(cube).replace('<model ', '<model requiredextensions="p" xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06" ')
    expect(said(packed(parts))).toEqual([])
  })

  const cross = (id: number, of: number) => `<object id="${id}"><components>${`<component objectid="${of}"/>`.repeat(10)}</components></object>`
  it.each<[string, Uint8Array, string]>([
    ['a plain archive', zipSync({ 'a.txt': bytesOf('hello') }), 'is a packed file (a zip archive) but no 3MF model'],
    ['no model', zipSync({ '_rels/.rels': bytesOf('<a/>') }), 'none of its parts is named as the model'],
    ['no end', packed(modelXml(cube)).subarray(0, -30), 'is cut short: the list at the end of a packed file is missing'],
    ['nothing built', packed(modelXml(cube, 'millimeter', '')), 'builds nothing'],
    ['an object that is not there', packed(modelXml(cube, 'millimeter', '<item objectid="9"/>')), 'builds an object "9" that is not in it'],
    ['a circle', packed(modelXml(cube, 'millimeter', '<item objectid="2"/>', cross(2, 2))), 'is a component of itself'],
    ['components of components', packed(modelXml(cube, 'millimeter', '<item objectid="9"/>', [2, 3, 4, 5, 6, 7, 8, 9].map(id => cross(id, id - 1)).join(''))), 'made of more than 100000 objects'],
    ['another unit', packed(modelXml(cube, 'furlong')), 'its unit is "furlong", which is none of micron'],
    ['a bad transform', packed(modelXml(cube, 'millimeter', '<item objectid="1" transform="1 0 0"/>')), 'is no transform of twelve numbers'],
    ['a corner without a figure', packed(modelXml(cube).replace(/ x="[^"]*"/, '')), 'a "vertex" in it has no "x"'],
    ['a figure that is none', packed(modelXml(cube).replace(/ x="[^"]*"/, ' x="wide"')), 'a "vertex" in it has no number for "x"'],
    ['cut short within a tag', packed(modelXml(cube).slice(0, -20)), 'the XML in it ends in the middle of a tag'],
    ['cut short between tags', packed(modelXml(cube).slice(0, -8)), 'the model in it does not end'],
    ['a document type', packed(`<!DOCTYPE a [<!ENTITY b "bb">]>${modelXml(cube)}`), 'document type'],
    ['UTF-16', packed(`\u0000${modelXml(cube)}`.replace('\u0000', '<\u0000')), 'UTF-16'],
  ])('%s', (_, bytes, why) => expect(said(bytes)).toEqual([expect.stringMatching(`^mesh-unreadable: part .*${why.replace(/[()"]/g, '.')}`)]))

  it.each<[string, (view: DataView, entry: number) => void, string]>([
    ['a size that is too small', (view, at) => view.setUint32(at + 24, 1000, true), 'does not unpack to what its list says'],
    ['a size that is too large', (view, at) => view.setUint32(at + 24, 5000, true), 'does not unpack to what its list says'],
    ['a size that nothing packs to', (view, at) => view.setUint32(at + 24, 900_000_000, true), 'does not unpack to what its list says'],
    ['a size beyond the limit', (view, at) => view.setUint32(at + 24, 4_000_000_000, true), 'which takes 3,815 MB unpacked; at most 1,000 MB can be read'],
    ['another sum', (view, at) => view.setUint32(at + 16, 7, true), 'does not unpack to what its list says'],
    ['a password', (view, at) => view.setUint16(at + 8, 1, true), 'with a password'],
    ['another way of packing', (view, at) => view.setUint16(at + 10, 14, true), 'in a way that is not read (method 14)'],
    ['a place beyond the file', (view, at) => view.setUint32(at + 42, 1e9, true), 'packed files are not where its list says'],
  ])('a list with %s', (_, change, why) => {
    const bytes = packed(modelXml(cube)), name = Buffer.from(bytes).lastIndexOf('3D/3dmodel.model')
    change(new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength), name - 46)
    expect(said(bytes)).toEqual([expect.stringContaining(why)])
  })

  it('a bomb ends when it has unpacked what its list says', () => {
    // 200 MB of zeros in 200 kB, listed as 1 MB.
    const bomb = deflateSync(new Uint8Array(200_000_000)).subarray(2, -4)
    const bytes = archive([{ name: '_rels/.rels', packed: bytesOf(rels), size: rels.length, method: 0 }, { name: '3D/3dmodel.model', packed: bomb, size: 1_000_000, method: 8 }])
    const began = performance.now()
    expect(said(bytes)).toEqual([expect.stringContaining('"3d/3dmodel.model" in it does not unpack to what its list says')])
    expect(performance.now() - began).toBeLessThan(3000)
  })
})

describe('glTF', () => {
  const parts = gltfParts(cube)
  const withJson = (change: Record<string, unknown>) => glb({ ...parts, json: { ...parts.json, ...change } })
  const mm = (file: Uint8Array) => places(file).map(place => place.map(value => Math.round(value * 1000) / 1000 + 0))
  const rows = Array.from({ length: 36 }, (_, i) => [...cube.subarray(3 * i, 3 * i + 3)])

  it('is in metres, by specification', () => {
    expect(read(glb(parts)).unit).toEqual({ mm: 1000, name: 'metres' })
    expect(mm(glb(parts))).toEqual(rows)
  })

  it('lays out nodes within nodes, by matrix or by way, turn and scale', () => {
    // A quarter turn about z (sine and cosine of 45°), twice as large, then 0.1 m along x; above it 1 m along z.
    const s = Math.SQRT1_2
    const nodes = [{ children: [1], matrix: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 1, 1] }, { mesh: 0, translation: [0.1, 0, 0], rotation: [0, 0, s, s], scale: [2, 2, 2] }]
    expect(mm(withJson({ nodes }))).toEqual(rows.map(([x, y, z]) => [100 - 2 * y, 2 * x, 2 * z + 1000]))
  })

  it('takes all roots where there is no scene', () => {
    expect(mm(withJson({ scenes: undefined, scene: undefined, nodes: [{ mesh: 0 }, { children: [0] }] }))).toEqual(rows)
  })

  it('reads strips and fans', () => {
    const figures = new Uint8Array(new Float32Array([0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0]).buffer)
    const json = (mode: number) => ({ asset: { version: '2.0' }, nodes: [{ mesh: 0 }], meshes: [{ primitives: [{ mode, attributes: { POSITION: 0 } }] }], accessors: [{ bufferView: 0, componentType: 5126, count: 4, type: 'VEC3' }], bufferViews: [{ buffer: 0, byteLength: 48 }], buffers: [{ byteLength: 48 }] })
    const corner = [[0, 0, 0], [1000, 0, 0], [0, 1000, 0], [1000, 1000, 0]]
    expect(mm(glb({ figures, json: json(5) }))).toEqual([0, 1, 2, 1, 3, 2].map(i => corner[i]))
    expect(mm(glb({ figures, json: json(6) }))).toEqual([0, 1, 2, 0, 2, 3].map(i => corner[i]))
    expect(said(glb({ figures, json: json(1) }))).toEqual([expect.stringContaining('holds no facets')])
  })

  it('reads quantised places', () => {
    const figures = new Uint8Array(new Int16Array([0, 0, 0, 0, 32_767, 0, 0, 0, 0, 32_767, 0, 0]).buffer)
    const json = { asset: { version: '2.0' }, extensionsRequired: ['KHR_mesh_quantization'], nodes: [{ mesh: 0 }], meshes: [{ primitives: [{ attributes: { POSITION: 0 } }] }], accessors: [{ bufferView: 0, componentType: 5122, normalized: true, count: 3, type: 'VEC3' }], bufferViews: [{ buffer: 0, byteLength: 24, byteStride: 8 }], buffers: [{ byteLength: 24 }] }
    expect(mm(glb({ figures, json }))).toEqual([[0, 0, 0], [1000, 0, 0], [0, 1000, 0]])
  })

  const accessor = (change: object) => withJson({ accessors: [{ ...(parts.json['accessors'] as object[])[0], ...change }, (parts.json['accessors'] as object[])[1]] })
  it.each<[string, Uint8Array | string, string]>([
    ['figures elsewhere', bytesOf(JSON.stringify({ ...parts.json, buffers: [{ uri: '../part.bin', byteLength: 4 }] })), 'keeps its figures in another file, "../part.bin", which is not opened'],
    ['no figures', bytesOf(JSON.stringify(parts.json)), 'its figures are missing'],
    ['no base64', bytesOf(JSON.stringify({ ...parts.json, buffers: [{ uri: 'data:application/octet-stream;base64,AA$A' }] })), 'not written as base64'],
    ['another JSON', '{ "a": 1 }', 'is JSON, but not glTF'],
    ['cut JSON', gltf(parts).subarray(0, 200), 'its JSON is damaged'],
    ['version 1', withJson({ asset: { version: '1.0' } }), 'is glTF of version 1.0'],
    ['cut short', glb(parts).subarray(0, -40), 'is cut short: it has fewer bytes'],
    ['packed figures', withJson({ extensionsRequired: ['KHR_draco_mesh_compression'] }), 'needs extensions of glTF that are not read: KHR_draco_mesh_compression'],
    ['instances', withJson({ extensionsUsed: ['EXT_mesh_gpu_instancing'] }), 'EXT_mesh_gpu_instancing'],
    ['sparse figures', accessor({ sparse: {} }), 'sparse accessors'],
    ['too many figures', accessor({ count: 9 }), 'reaches beyond the file'],
    ['a huge count', accessor({ count: 2 ** 52 }), 'reaches beyond the file'],
    ['a circle', withJson({ nodes: [{ children: [0] }] }), 'hold each other in a circle'],
    ['many paths to one node', withJson({ nodes: [{ mesh: 0 }, ...Array.from({ length: 60 }, (_, i) => ({ children: [i, i] }))], scenes: [{ nodes: [60] }] }), 'made of more than 100000 bodies'],
    ['a node that is not there', withJson({ nodes: [{ children: [5] }] }), 'names a node that is not in it'],
    ['a mesh that is not there', withJson({ nodes: [{ mesh: 5 }] }), 'names a mesh that is not in it'],
    ['a matrix of words', withJson({ nodes: [{ mesh: 0, matrix: ['a'] }] }), 'without sixteen numbers'],
  ])('%s', (_, file, why) => expect(said(file)).toEqual([expect.stringContaining(why)]))
})

describe('what is no mesh is named', () => {
  it.each<[string, string]>([
    ['ISO-10303-21;\nHEADER;' + ' '.repeat(200), 'is a STEP model'], ['%\nO0001\nG90 G17\n' + ' '.repeat(200), 'is a machine program'],
    ['<svg></svg>' + ' '.repeat(200), 'is a text file (XML or JSON)'], ['', 'is empty'], [obj([]), 'holds no facets'],
  ])('%s', (text, why) => expect(said(text)).toEqual([expect.stringContaining(why)]))
})
