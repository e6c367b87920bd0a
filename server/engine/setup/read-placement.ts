import type { MeshPlacement } from '../../../shared/setup.ts'
import { type Fields, radians } from './fields.ts'
import { resolveBeside } from './resolve-path.ts'

export const units = ['mm', 'inch'] as const

export function unitLength(unit: (typeof units)[number]): number {
  return unit === 'inch' ? 25.4 : 1
}

/** The mesh an object names and how it lies; none where that is not wholly known: a mesh in the wrong place proves nothing. Lengths of the placement are in the sheet's unit, the mesh in its own. */
export function readPlacement(fields: Fields): MeshPlacement | undefined {
  const { notes } = fields
  const unit = fields.choice('units', units)
  const translate = fields.triple('translate', notes.unit) ?? [0, 0, 0]
  const rotate = fields.triple('rotate', radians(1)) ?? [0, 0, 0]
  const mesh = fields.text('mesh', { need: 'the file of its triangles, for example "mesh": "part.stl"' })
  if (mesh === undefined || fields.hasFault) return undefined
  return {
    path: resolveBeside(notes.path, mesh),
    scale: unit === undefined ? notes.unit : unitLength(unit),
    ...(unit === undefined ? {} : { unitSaid: true }),
    translate,
    rotate,
    span: fields.spanOf('mesh'),
  }
}
