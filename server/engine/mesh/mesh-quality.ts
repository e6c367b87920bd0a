import type { Problem } from '../../../shared/problem.ts'
import { estimateChordErrors } from './chord-error.ts'
import { coarseMesh } from './coarse-mesh.ts'
import { count, facets, figure, type MeshPlace, meshProblem, placeOf, pointOf } from './mesh-place.ts'
import { FacetUse, type MeshTopology, readTopology } from './mesh-topology.ts'
import { weldCorners } from './weld-corners.ts'

export interface InspectedMesh {
  /** The facets worth checking against, 9 numbers a triangle. */
  readonly corners: Float64Array
  /** No open edge, no edge with more than two facets, every neighbour turned the same way. */
  readonly closed: boolean
  /** mm³; negative where the facets look inward. Of meaning only where the mesh is nearly closed. */
  readonly volume: number
  /** Estimated distance of each facet from the smooth surface it stands for, mm. */
  readonly chordErrors: Float32Array
  readonly problems: Problem[]
}

export interface MeshInput {
  /** How messages call the mesh. */
  readonly name: string
  /** mm; the chord error of the whole mesh is held against it. Absent: see `coarseMesh`. */
  readonly gouge?: number
  readonly place?: MeshPlace
}

/** `corners`: placed, mm, every number finite. */
export function inspectMesh(corners: Float64Array, { name, gouge, place }: MeshInput): InspectedMesh {
  const where = placeOf(name, place)
  const problems: Problem[] = []
  const say = (rule: string, message: string) => problems.push(meshProblem(rule, `${name} ${message}`, where))
  const mesh = weldCorners(corners)
  const topology = readTopology(corners, mesh)
  const kept = keep(corners, topology.use)
  if (kept.length === 0) {
    say('mesh-unreadable', `has ${facets(mesh.triangleCount)}, none of which has an area; there is nothing to check against. Export the part again.`)
    return { corners: kept, closed: false, volume: 0, chordErrors: new Float32Array(0), problems }
  }
  sayDropped(topology.use, say)
  sayEdges(corners, topology, say)
  const { volume, area } = measure(kept)
  if (volume < 0 && topology.openLength ** 2 / (4 * Math.PI) < NEARLY_CLOSED * area) {
    say('mesh-inside-out', `has its facets turned inward (its volume comes out as ${figure(volume)} mm³). Depths and clearances are not affected; what is left standing on the part would be measured to the wrong side of its surface. Export the part with its normals outward.`)
  }
  const chordErrors = keptOf(estimateChordErrors(corners, mesh, topology.use), topology.use, kept.length / 9)
  const coarse = gouge === undefined ? undefined : coarseMesh(kept, chordErrors, { name, gouge, place })
  if (coarse !== undefined) problems.push(coarse)
  const closed = topology.open + topology.crowded + topology.turned === 0
  return { corners: kept, closed, volume, chordErrors, problems }
}

/**
 * A closed curve of length L cannot frame more than L² / 4π of surface (isoperimetric inequality):
 * where the holes' edges frame less than this share of the area, the volume has a sign worth trusting.
 */
const NEARLY_CLOSED = 0.01

function keep(corners: Float64Array, use: Uint8Array): Float64Array {
  let dropped = 0
  for (let t = 0; t < use.length; t++) if (use[t] !== FacetUse.kept) dropped++
  if (dropped === 0) return corners
  const kept = new Float64Array(corners.length - 9 * dropped)
  let at = 0
  for (let t = 0; t < use.length; t++) {
    if (use[t] !== FacetUse.kept) continue
    for (let k = 0; k < 9; k++) kept[at++] = corners[9 * t + k]
  }
  return kept
}

function keptOf(values: Float32Array, use: Uint8Array, keptCount: number): Float32Array {
  if (keptCount === values.length) return values
  return values.filter((_, t) => use[t] === FacetUse.kept)
}

type Say = (rule: string, message: string) => void

function sayDropped(use: Uint8Array, say: Say): void {
  let flat = 0, repeated = 0
  for (let t = 0; t < use.length; t++) {
    if (use[t] === FacetUse.repeated) repeated++
    else if (use[t] !== FacetUse.kept) flat++
  }
  if (flat + repeated === 0) return
  const parts = [flat > 0 ? `${count(flat)} without area` : '', repeated > 0 ? `${count(repeated)} given twice` : '']
  say('mesh-damaged', `has ${facets(flat + repeated)} of ${count(use.length)} that are left out: ${parts.filter(part => part !== '').join(', ')}. No surface is lost with them.`)
}

function sayEdges(corners: Float64Array, topology: MeshTopology, say: Say): void {
  const { open, firstOpen, crowded, firstCrowded, turned, firstTurned } = topology
  if (open > 0) {
    say('mesh-open', `is not closed: ${edges(open)} ${open === 1 ? 'has' : 'have'} a facet on one side only, for example near ${pointOf(corners, 3 * firstOpen)}. Contact is checked against the facets that are there; nothing is checked where the surface is missing, and whether a tool starts inside the part cannot be told for certain.`)
  }
  if (crowded > 0) {
    say('mesh-damaged', `has ${edges(crowded)} where more than two facets meet, for example near ${pointOf(corners, 3 * firstCrowded)}: bodies that touch or cross. Contact is checked against every facet; whether a tool starts inside the part cannot be told for certain there.`)
  }
  if (turned > 0) {
    say('mesh-damaged', `has ${edges(turned)} between facets that are turned against each other, for example near ${pointOf(corners, 3 * firstTurned)}. Contact is checked against every facet; whether a tool starts inside the part cannot be told for certain, and what is left standing there may be measured to the wrong side. Export the part with its normals unified.`)
  }
}

/** Volume enclosed and surface. Taken about the first corner, so that a part far from the origin loses no digits. */
function measure(corners: Float64Array): { volume: number, area: number } {
  const ox = corners[0], oy = corners[1], oz = corners[2]
  let volume = 0, area = 0
  for (let i = 0; i + 8 < corners.length; i += 9) {
    const ux = corners[i + 3] - corners[i], uy = corners[i + 4] - corners[i + 1], uz = corners[i + 5] - corners[i + 2]
    const vx = corners[i + 6] - corners[i], vy = corners[i + 7] - corners[i + 1], vz = corners[i + 8] - corners[i + 2]
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx
    volume += (corners[i] - ox) * nx + (corners[i + 1] - oy) * ny + (corners[i + 2] - oz) * nz
    area += Math.sqrt(nx * nx + ny * ny + nz * nz)
  }
  return { volume: volume / 6, area: area / 2 }
}

function edges(n: number): string {
  return `${count(n)} ${n === 1 ? 'edge' : 'edges'}`
}
