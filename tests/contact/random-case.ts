import { components, type Component } from '../../shared/finding.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Limits, Tool, Triple } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import type { SearchInput } from '../../server/engine/contact/search-motions.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'
import { TwinMachine } from '../harness/twin-machine.ts'
import { twinSolids, type Edge, type TwinSolid } from '../harness/twin-solid.ts'
import { anyMachine, cross, squareTo } from './machines.ts'
import { laidAt, meshKinds, randomMesh } from './random-mesh.ts'
import { motionWishes, randomPath, type MotionWish } from './random-path.ts'
import { randomTool, type shapes } from './random-tool.ts'

/** A search and the same in the twin's terms. */
export interface RandomCase {
  readonly machine: Machine
  readonly base: readonly number[]
  readonly tool: Tool
  readonly input: SearchInput
  readonly corners: Float64Array
  /** The triangle that was laid near the tool. */
  readonly anchor: number
  readonly wish: MotionWish
  readonly twin: TwinMachine
  readonly solids: Record<Component, readonly TwinSolid[]>
  /** Says what it is, for a failure's message. */
  readonly name: string
}

/** What a case is drawn from, where not from everything. */
export interface Taste {
  readonly shape?: typeof shapes[number]
  readonly motions?: readonly MotionWish[]
  readonly meshes?: readonly typeof meshKinds[number][]
  readonly component?: Component
  /** Whether rotary axes and the tool point move, which they do where nothing is said. */
  readonly turns?: boolean
  readonly travels?: boolean
  /** mm that a motion covers at most, where not the usual for its kind. */
  readonly most?: number
}

export const limits: Limits = {
  gouge: 0.01, stockToLeave: 0, clearance: { neck: 0.15, shank: 0.15, holder: 1, head: 5, rapid: 1 }, leftover: 1, axisStep: 1,
}

export const epsilon = 0.002

/**
 * A short path and a small mesh that lies near some component at some moment of it: most often
 * within a few tenths of its surface, outside or inside, sometimes anywhere.
 */
export function randomCase(random: SeededRandom, taste: Taste = {}): RandomCase {
  const machine = anyMachine(random), tool = randomTool(random, taste.shape)
  const base = machine.axes.map(axis => axis.kind === 'linear' ? random.between(-100, 100) : random.pick([0, random.between(-1, 1)]))
  const kinematics = buildKinematics(machine, base), length = gaugeLength(tool)
  const wish = random.pick(taste.motions ?? motionWishes), kind = random.pick(taste.meshes ?? meshKinds)
  const toolpath = randomPath(random, machine, kinematics, base, length, wish, random.whole(1, 2), taste)
  const twin = new TwinMachine(machine, base), solids = twinSolids(tool)
  const component = taste.component ?? random.pick(components.filter(name => solids[name].length > 0))
  const pose = twin.poseAt(toolpath, random.whole(0, toolpath.count - 1), length, random.pick([0, 0.5, 1, random.next()]))
  const place = placeOn(random, random.pick(solids[component]), pose)
  const mesh = randomMesh(random, kind)
  const gap = random.pick([random.between(-0.02, 0.02), random.between(-0.3, 0.3), random.between(-2, 2)])
  const first = random.whole(0, mesh.length / 9 - 1) * 9
  const p = random.next(), q = random.next() * (1 - p)
  const anchor = [0, 1, 2].map(k => mesh[first + k] + p * (mesh[first + 3 + k] - mesh[first + k]) + q * (mesh[first + 6 + k] - mesh[first + k]))
  const to: Triple = [place.point[0] + gap * place.normal[0], place.point[1] + gap * place.normal[1], place.point[2] + gap * place.normal[2]]
  const against: Triple = [-place.normal[0], -place.normal[1], -place.normal[2]]
  const up = random.next() < 0.7 ? against : random.direction()
  return {
    machine, base, tool, twin, solids, wish,
    anchor: first / 9,
    corners: laidAt(mesh, anchor, to, up, random.direction()),
    input: {
      kinematics, toolpath, epsilon,
      assemblies: [buildAssembly(tool)],
      limits: { sets: [{ limits, origin: {} }], ofMotion: new Uint16Array(toolpath.count) },
    },
    name: `${machine.name}; ${tool.name}; ${wish}; ${kind} at the ${component}`,
  }
}

/** A random place on the solid's surface, and the way out there. */
function placeOn(random: SeededRandom, solid: TwinSolid, pose: { point: Triple, axis: Triple }): { point: Triple, normal: Triple } {
  const { r, h, nr, nh } = onEdge(random, random.pick(solid.edge))
  const e = squareTo(pose.axis, random.direction())
  const side = random.next() < 0.5 ? e : cross(pose.axis, e)
  const at = (k: number) => pose.point[k] + h * pose.axis[k] + r * side[k]
  const out = (k: number) => nh * pose.axis[k] + nr * side[k]
  return { point: [at(0), at(1), at(2)], normal: [out(0), out(1), out(2)] }
}

function onEdge(random: SeededRandom, edge: Edge): { r: number, h: number, nr: number, nh: number } {
  if (edge.kind === 'line') {
    const t = random.pick([0, 1, random.next(), random.next()])
    const dr = edge.r1 - edge.r0, dh = edge.h1 - edge.h0, size = Math.hypot(dr, dh)
    return { r: edge.r0 + t * dr, h: edge.h0 + t * dh, nr: size === 0 ? 1 : dh / size, nh: size === 0 ? 0 : -dr / size }
  }
  const angle = random.between(edge.from, edge.to)
  return { r: edge.r + edge.radius * Math.cos(angle), h: edge.h + edge.radius * Math.sin(angle), nr: Math.cos(angle), nh: Math.sin(angle) }
}
