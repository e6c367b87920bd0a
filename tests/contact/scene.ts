import { neverCancelled } from '../../shared/cancellation.ts'
import { components, type Component } from '../../shared/finding.ts'
import { buildKinematics, jointsForToolPoint } from '../../shared/kinematics.ts'
import type { Cutter, Tool, Triple } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionKind, ToolpathBuilder } from '../../shared/toolpath.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import type { ContactFigures } from '../../server/engine/contact/contact-figures.ts'
import { MotionSearcher, type SearchInput } from '../../server/engine/contact/search-motions.ts'
import { buildMeshTree, type MeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { linear, machineOf, rotary } from './machines.ts'
import { epsilon, limits } from './random-case.ts'

// A tool at a place and a lean of one's choice: poses are turned into joints of a fork-head machine.

export interface Pose { readonly point: Triple, readonly axis: Triple }

const machine = machineOf({
  name: 'fork head, C carries B', table: '', head: 'XYZCB',
  axes: [linear('X', [1, 0, 0]), linear('Y', [0, 1, 0]), linear('Z', [0, 0, 1]), rotary('B', [0, 1, 0]), rotary('C', [0, 0, 1])],
})

/** A tool with no more than its cutter, unless more is given. */
export function toolOf(cutter: Cutter, more: Partial<Tool> = {}): Tool {
  return {
    number: 1, name: cutter.shape, cutter, LPR: cutter.LCF, holder: [], centreCutting: true, point: 'tip', lengthOffset: 1,
    span: { start: 0, end: 0 }, ...more,
  }
}

/** A pose by the angles of the fork head, radians: the axis leant from z by `lean` toward the side to which `around` turns it. */
export interface Lean { readonly point: Triple, readonly lean: number, readonly around: number }

/** What a search is asked beside the path: flags of each motion, proven width in mm. */
export interface Asked { readonly flags?: readonly number[], readonly width?: number }

/** Moves the tool straight from pose to pose and gives its certified figures, one motion a pose after the first. */
export function searchPoses(tool: Tool, mesh: Float64Array | MeshTree, poses: readonly Pose[], asked: Asked = {}): ContactFigures {
  const tree = mesh instanceof Float64Array ? buildMeshTree(mesh, false).tree : mesh
  const input = inputOfPoses(tool, poses, asked)
  return new MotionSearcher(input, tree, neverCancelled).searchRun(0, input.toolpath.count)
}

/** Straight moves of the tool point from pose to pose, one motion a pose after the first. */
export function inputOfPoses(tool: Tool, poses: readonly Pose[], asked: Asked = {}): SearchInput {
  return inputOfLeans(tool, poses.map(({ point, axis }) => ({ point, lean: Math.acos(Math.min(1, Math.max(-1, axis[2]))), around: Math.atan2(axis[1], axis[0]) })), asked)
}

/** The same, turned evenly in both angles between the poses. */
export function inputOfLeans(tool: Tool, leans: readonly Lean[], { flags = [], width = epsilon }: Asked = {}): SearchInput {
  const kinematics = buildKinematics(machine, [0, 0, 0, 0, 0]), length = gaugeLength(tool)
  const rows = leans.map(({ point, lean, around }) => {
    const joints = Float64Array.of(0, 0, 0, lean, around)
    jointsForToolPoint(kinematics, joints, length, ...point)
    return joints
  })
  const builder = new ToolpathBuilder(machine.axes.map(axis => axis.letter), rows[0])
  rows.slice(1).forEach((row, i) => builder.push(MotionKind.toolLine, flags[i] ?? 0, i, 0, 1, row))
  const toolpath = builder.finish()
  return {
    kinematics, toolpath, epsilon: width, assemblies: [buildAssembly(tool)],
    limits: { sets: [{ limits, origin: {} }], ofMotion: new Uint16Array(toolpath.count) },
  }
}

/** The proven interval of a component in a motion. */
export function intervalOf(figures: ContactFigures, component: Component, motion = 0): { certified: number, value: number } {
  const at = motion * components.length + components.indexOf(component)
  return { certified: figures.certified[at], value: figures.value[at] }
}
