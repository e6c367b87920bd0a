import { MeshBVH } from 'three-mesh-bvh'
import { newContactFigures, type PartMesh, type ReadProgram } from '../../server/engine/service.ts'
import type { Interpretation } from '../../server/engine/machine/interpreter.ts'
import type { Row } from './report.ts'
import { buildBvh } from './shapecast-peer.ts'

/** Bytes of all typed arrays among the properties. */
function bytesOf(record: object): number {
  return Object.values(record).reduce((sum: number, value: unknown) => sum + (ArrayBuffer.isView(value) ? value.byteLength : 0), 0)
}

/** What a triangle takes while it is searched, beside the library's tree with positions and index. */
export function triangleMemory(mesh: PartMesh, corners: Float64Array): Row {
  const { roots, index } = MeshBVH.serialize(buildBvh(corners), { cloneBuffers: false })
  const tree = roots.reduce((sum, root) => sum + root.byteLength, 0) + (index?.byteLength ?? 0)
  const peer = (tree + 4 * corners.length) / mesh.triangleCount
  return constantRow('memory of mesh and tree', 'bytes/triangle', bytesOf(mesh) / mesh.triangleCount, 'three-mesh-bvh and its positions', peer)
}

/** What a block takes once it has been read and searched, beside its text. */
export function blockMemory(program: ReadProgram): Row {
  const { toolpath, text, lineStarts } = program, blocks = lineStarts.length - 1
  const held = bytesOf(toolpath) + lineStarts.byteLength + text.length + bytesOf(newContactFigures(0, toolpath.count))
  return constantRow('memory of the program and its figures', 'bytes/block', held / blocks, 'its text', text.length / blocks)
}

/** What a block takes once it has been read, beside its text. */
export function readMemory({ toolpath, lineStarts, record }: Interpretation, text: string): Row {
  const blocks = lineStarts.length - 1, held = bytesOf(toolpath) + lineStarts.byteLength + record.firstStep.byteLength
  return constantRow('memory of the program as read', 'bytes/block', held / blocks, 'its text', text.length / blocks)
}

function constantRow(name: string, unit: string, value: number, peerName: string, peer: number): Row {
  return { name, unit, better: 'lower', median: value, low: value, high: value, peer: { name: peerName, value: peer } }
}
