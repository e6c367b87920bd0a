import { crc32 } from 'node:zlib'
import { zipSync } from 'fflate'
import { bytesOf } from './bodies.ts'

// One body in every form of file, written the plain way.

/** Corners told apart, and their numbers from 0, three a triangle. */
export function shared(corners: ArrayLike<number>): { vertices: number[][], triangles: number[][] } {
  const vertices: number[][] = [], numbers = new Map<string, number>(), triangles: number[][] = []
  for (let i = 0; i < corners.length; i += 9) {
    triangles.push([0, 3, 6].map(k => {
      const vertex = [corners[i + k], corners[i + k + 1], corners[i + k + 2]], key = vertex.join()
      const known = numbers.get(key)
      if (known !== undefined) return known
      numbers.set(key, vertices.length)
      return vertices.push(vertex) - 1
    }))
  }
  return { vertices, triangles }
}

export function asciiPly(corners: ArrayLike<number>): string {
  const { vertices, triangles } = shared(corners)
  return `ply\nformat ascii 1.0\ncomment made for a test\nelement vertex ${vertices.length}\nproperty double x\nproperty double y\nproperty double z\n`
    + `element face ${triangles.length}\nproperty list uchar int vertex_indices\nend_header\n`
    + vertices.map(vertex => `${vertex.join(' ')}\n`).join('') + triangles.map(triangle => `3 ${triangle.join(' ')}\n`).join('')
}

/** With a colour on every corner and a flag behind every facet, and an element that nobody needs between them. */
export function binaryPly(corners: ArrayLike<number>, little: boolean): Uint8Array {
  const { vertices, triangles } = shared(corners)
  const header = bytesOf(`ply\r\nformat binary_${little ? 'little' : 'big'}_endian 1.0\r\nelement vertex ${vertices.length}\r\nproperty uchar red\r\nproperty float32 x\r\nproperty float y\r\nproperty float z\r\n`
    + `element note 2\r\nproperty list uint8 int16 letters\r\nelement face ${triangles.length}\r\nproperty list uchar uint vertex_index\r\nproperty short flag\r\nend_header\r\n`)
  const bytes = new Uint8Array(header.length + vertices.length * 13 + (1 + 4) + 1 + triangles.length * 15), view = new DataView(bytes.buffer)
  bytes.set(header)
  let at = header.length
  for (const vertex of vertices) {
    view.setUint8(at, 200)
    vertex.forEach((value, k) => view.setFloat32(at + 1 + 4 * k, value, little))
    at += 13
  }
  view.setUint8(at, 2)
  at += 6
  for (const triangle of triangles) {
    view.setUint8(at, 3)
    triangle.forEach((index, k) => view.setUint32(at + 1 + 4 * k, index, little))
    at += 15
  }
  return bytes
}

export function obj(corners: ArrayLike<number>): string {
  const { vertices, triangles } = shared(corners)
  return `# made for a test\nmtllib a.mtl\no body\n${vertices.map(vertex => `v ${vertex.join(' ')}\n`).join('')}usemtl grey\n${triangles.map(([a, b, c]) => `f ${a + 1}//7 ${b + 1}/2 ${c + 1}/3/4\n`).join('')}`
}

export function modelXml(corners: ArrayLike<number>, unit = 'millimeter', build = '<item objectid="1"/>', more = ''): string {
  const { vertices, triangles } = shared(corners)
  return `<?xml version="1.0" encoding="UTF-8"?>\n<!-- made for a test -->\n<model unit="${unit}" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n<metadata name="Title">a &lt; b</metadata>\n<resources><object id="1" type="model"><mesh>`
    + `<vertices>${vertices.map(([x, y, z]) => `<vertex x="${x}" y='${y}' z = "${z}" />`).join('\n')}</vertices>`
    + `<triangles>${triangles.map(([a, b, c]) => `<triangle v1="${a}" v2="${b}" v3="${c}"/>`).join('\n')}</triangles></mesh></object>${more}</resources><build>${build}</build></model>`
}

export const rels = '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rel0" Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'

export function packed(model: string, more: Readonly<Record<string, string>> = {}, level: 0 | 6 = 6): Uint8Array {
  const files = { '[Content_Types].xml': '<Types/>', '_rels/.rels': rels, '3D/3dmodel.model': model, ...more }
  return zipSync(Object.fromEntries(Object.entries(files).map(([name, text]) => [name, bytesOf(text)])), { level })
}

/** A zip archive whose list says what it is told; sums are those of the bytes as they stand. */
export function archive(files: readonly { readonly name: string, readonly packed: Uint8Array, readonly size: number, readonly method: number }[]): Uint8Array {
  const parts: Buffer[] = [], list: Buffer[] = []
  let at = 0
  for (const { name, packed, size, method } of files) {
    const local = Buffer.alloc(30), entry = Buffer.alloc(46), sum = crc32(packed)
    local.writeUInt32LE(0x04034b50, 0)
    local.writeUInt16LE(name.length, 26)
    entry.writeUInt32LE(0x02014b50, 0)
    entry.writeUInt16LE(method, 10)
    entry.writeUInt32LE(sum, 16)
    entry.writeUInt32LE(packed.length, 20)
    entry.writeUInt32LE(size, 24)
    entry.writeUInt16LE(name.length, 28)
    entry.writeUInt32LE(at, 42)
    parts.push(local, Buffer.from(name), Buffer.from(packed))
    list.push(entry, Buffer.from(name))
    at += local.length + name.length + packed.length
  }
  const end = Buffer.alloc(22)
  end.writeUInt32LE(0x06054b50, 0)
  end.writeUInt16LE(files.length, 10)
  end.writeUInt32LE(at, 16)
  return Uint8Array.from(Buffer.concat([...parts, ...list, end]))
}

export interface GltfParts { readonly json: Record<string, unknown>, readonly figures: Uint8Array }

/** Places in metres as float32, corner numbers as uint16. */
export function gltfParts(corners: ArrayLike<number>): GltfParts {
  const { vertices, triangles } = shared(Array.from(corners, value => value / 1000))
  const figures = new Uint8Array(Math.ceil((vertices.length * 12 + triangles.length * 6) / 4) * 4), view = new DataView(figures.buffer)
  vertices.flat().forEach((value, i) => view.setFloat32(4 * i, value, true))
  triangles.flat().forEach((value, i) => view.setUint16(vertices.length * 12 + 2 * i, value, true))
  return {
    figures,
    json: {
      asset: { version: '2.0' }, scene: 0, scenes: [{ nodes: [0] }], nodes: [{ mesh: 0 }], meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 1 }] }],
      accessors: [{ bufferView: 0, componentType: 5126, count: vertices.length, type: 'VEC3' }, { bufferView: 1, componentType: 5123, count: triangles.length * 3, type: 'SCALAR' }],
      bufferViews: [{ buffer: 0, byteLength: vertices.length * 12 }, { buffer: 0, byteOffset: vertices.length * 12, byteLength: triangles.length * 6 }],
      buffers: [{ byteLength: figures.length }],
    },
  }
}

export function gltf({ json, figures }: GltfParts): Uint8Array {
  return bytesOf(JSON.stringify({ ...json, buffers: [{ byteLength: figures.length, uri: `data:application/octet-stream;base64,${Buffer.from(figures).toString('base64')}` }] }))
}

export function glb({ json, figures }: GltfParts): Uint8Array {
  const text = JSON.stringify(json), inner = bytesOf(text.padEnd(Math.ceil(text.length / 4) * 4))
  const bytes = new Uint8Array(28 + inner.length + figures.length), view = new DataView(bytes.buffer)
  bytes.set(bytesOf('glTF'))
  ;[[4, 2], [8, bytes.length], [12, inner.length], [16, 0x4e4f534a], [20 + inner.length, figures.length], [24 + inner.length, 0x004e4942]].forEach(([at, value]) => view.setUint32(at, value, true))
  bytes.set(inner, 20)
  bytes.set(figures, 28 + inner.length)
  return bytes
}
