import { components, type ContactProperties, type Finding } from '../../shared/finding.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import type { Tool, Triple } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag, NO_TOOL } from '../../shared/toolpath.ts'
import type { Obstacle } from './contact/obstacle.ts'
import { heightEpsilon } from './geometry/tolerance.ts'
import { estimateSecondsByTool } from './machine/time-estimate.ts'
import type { MeshTree } from './mesh/mesh-tree.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'
import { leftPicture, type LeftPicture } from './record/left-picture.ts'
import { partPicture } from './record/part-picture.ts'
import { placePicture } from './record/place-picture.ts'
import { heightsOver, type HeightFigures } from './result/height-figures.ts'
import type { SurfaceResult } from './result/surface-result.ts'
import type { SurfaceSamples } from './result/surface-samples.ts'

/** What the pictures of one program are drawn from. */
export interface RecordScene {
  readonly program: ReadProgram
  readonly scene: Scene
  readonly mesh: MeshTree
  readonly obstacles: readonly Obstacle[]
}

/** Motions drawn before and after the worst block of a finding. */
const NEIGHBOURS = 40
/** Places of the tool point in one motion that is not straight. */
const PLACES = 8
/** Motions beyond this are drawn in fewer places. */
const MOST_PLACES = 60_000

/** The tool where a finding is worst, cut open; undefined where there is no body that stands still in the part frame. */
export function pictureOfFinding({ program, scene, mesh, obstacles }: RecordScene, { contact }: Finding): string | undefined {
  const { toolpath } = program
  if (contact === undefined || scene.setup === undefined) return undefined
  const corners = bodyOf(contact.against, scene, mesh, obstacles)?.corners, nearest = nearestPose(program, scene, contact)
  const tool = nearest === undefined ? undefined : scene.setup.tools[toolpath.tool[nearest.motion] ?? NO_TOOL]
  if (nearest === undefined || tool === undefined || corners === undefined || !components.some(component => component === contact.component)) return undefined
  const { motion, way } = nearest
  const path = placesOf(program, scene, Math.max(0, motion - NEIGHBOURS), Math.min(toolpath.count, motion + NEIGHBOURS + 1), PLACES)
  return placePicture({ contact, tool, corners, path: path.flatMap(({ points }) => points), way })
}

/** The part and the way over it, with the findings that have a place numbered from 1. */
export function pictureOfProgram({ program, scene, mesh }: RecordScene, name: string, findings: readonly { readonly mark: string, readonly finding: Finding }[]): string {
  const places = Math.max(1, Math.min(PLACES, Math.floor(MOST_PLACES / Math.max(1, program.toolpath.count))))
  return partPicture({
    name, corners: mesh.corners, min: mesh.min, max: mesh.max,
    runs: placesOf(program, scene, 0, program.toolpath.count, places),
    marks: findings.flatMap(({ mark, finding: { contact } }) => contact === undefined ? [] : [{ mark, point: contact.point }]),
  })
}

/** What is left on the part, as it was measured. */
export interface MeasuredPart {
  readonly samples: SurfaceSamples
  readonly figures: HeightFigures
  readonly standing: Float64Array
  readonly result: SurfaceResult
}

/** The part in the colours of what is left on it, the tallest material marked T and the deepest cut D; undefined where no height is known. */
export function pictureOfLeft({ scene, mesh }: RecordScene, { samples, figures, standing, result }: MeasuredPart): LeftPicture | undefined {
  if (scene.setup === undefined) return undefined
  const { leftover, stockToLeave, gouge } = scene.setup.limits
  return leftPicture({
    corners: mesh.corners, points: samples.points, normals: samples.normals, areas: samples.areas,
    heights: heightsOver(figures, standing, heightEpsilon).heights,
    allowed: { leftover: leftover + stockToLeave, gouge: gouge - stockToLeave },
    marks: [{ mark: 'T', place: result.leftover }, { mark: 'D', place: result.overcut }].flatMap(({ mark, place }) => place === undefined ? [] : [{ mark, point: place.point }]),
  })
}

/** Estimated seconds by tool of the sheet; undefined stands for motions without one of its tools. */
export function secondsByTool({ toolpath, kinematics }: ReadProgram, { machine, setup }: Scene): { readonly tool: Tool | undefined, readonly seconds: number }[] {
  const tools = setup?.tools ?? []
  return [...estimateSecondsByTool(toolpath, machine, kinematics, tools.map(gaugeLength))].map(([index, seconds]) => ({ tool: tools[index], seconds }))
}

/** The body's triangles in the part frame. Against the stock the part is shown, since the stock of that moment is gone. */
function bodyOf(against: string, { setup }: Scene, mesh: MeshTree, obstacles: readonly Obstacle[]): MeshTree | undefined {
  if (against === 'part' || against === 'stock') return mesh
  const named = (kind: 'fixture' | 'barrier', list: readonly { readonly name: string }[] | undefined) => {
    const index = list?.findIndex(({ name }) => against === `${kind}:${name}`) ?? -1
    return index < 0 ? undefined : obstacles.find(obstacle => obstacle.kind === kind && obstacle.index === index)?.tree
  }
  return named('fixture', setup?.fixtures) ?? named('barrier', setup?.barriers)
}

/** The motion of the worst block that comes nearest to the tool point of a finding, and which way it goes; undefined where no motion is of that block. */
function nearestPose(program: ReadProgram, scene: Scene, { worstLine, toolPoint: [x, y, z] }: ContactProperties): { readonly motion: number, readonly way: Triple } | undefined {
  const { toolpath } = program, pose = poseOf(program, scene)
  let best = Infinity, nearest: { readonly motion: number, readonly way: Triple } | undefined
  for (let motion = 0; motion < toolpath.count; motion++) {
    if (toolpath.line[motion] !== worstLine - 1) continue
    pose.begin(motion)
    for (let n = 0; n <= PLACES; n++) {
      pose.at(n / PLACES)
      const away = Math.hypot(pose.px - x, pose.py - y, pose.pz - z)
      if (away < best) {
        best = away
        nearest = { motion, way: [pose.vx, pose.vy, pose.vz] }
      }
    }
  }
  return nearest
}

function poseOf(program: ReadProgram, { setup }: Scene): MotionPose {
  return new MotionPose(program.kinematics, program.toolpath, setup?.tools.map(gaugeLength) ?? [])
}

/** The tool point's way over the motions [first, end), rapids apart from feed moves; where it is not known there is a gap. */
function placesOf(program: ReadProgram, scene: Scene, first: number, end: number, places: number): { rapid: boolean, points: Triple[] }[] {
  const { toolpath } = program, pose = poseOf(program, scene), runs: { rapid: boolean, points: Triple[] }[] = []
  let open: { rapid: boolean, points: Triple[] } | undefined
  for (let i = first; i < end; i++) {
    const flags = toolpath.flags[i] ?? 0, rapid = (flags & MotionFlag.rapid) !== 0
    if ((flags & MotionFlag.unknownStart) !== 0) {
      open = undefined
      continue
    }
    pose.begin(i)
    if (open?.rapid !== rapid) {
      pose.at(0)
      runs.push(open = { rapid, points: [[pose.px, pose.py, pose.pz]] })
    }
    for (let n = 1; n <= places; n++) {
      pose.at(n / places)
      open.points.push([pose.px, pose.py, pose.pz])
    }
  }
  return runs
}
