import type { Finding } from '../../shared/finding.ts'
import { newToolPose, toolPose } from '../../shared/kinematics.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Setup } from '../../shared/setup.ts'
import { atOnce, type Stepwise } from '../../shared/stepwise.ts'
import type { ContactFigures } from './contact/contact-figures.ts'
import { contactProblems, type FoundContact } from './contact/contact-problems.ts'
import { partFaults } from './contact/motion-faults.ts'
import { defaultEpsilon } from './geometry/tolerance.ts'
import { lineNames } from './line-names.ts'
import { ruleOf } from './lint/all-rules.ts'
import { sortFindings, toFindings, type LevelSettings } from './lint/level-findings.ts'
import { applyWaivers } from './lint/waivers.ts'
import { coarseMesh } from './mesh/coarse-mesh.ts'
import { unitsDoubt } from './mesh/units-doubt.ts'
import { MotionOrigins } from './motion-origins.ts'
import { baseName, type PartMesh } from './open-mesh.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'
import { searchInputOf } from './search-input.ts'
import { rulesOfStock } from './stock-findings.ts'

/** Motions that are looked at in one step. */
const MOTIONS_PER_STEP = 5000

/** mm. Facets this near to the path are what the program cuts, when the mesh's coarseness is judged. */
const cutReach = 5

/**
 * The findings of a contact search, as far as it has come, and of the mesh held against the program;
 * `underWaivers` lays the reviewer's comments over them.
 */
export function contactFindings(program: ReadProgram, scene: Scene, mesh: PartMesh, figures: ContactFigures, levels: LevelSettings = {}): Finding[] {
  return sortFindings([...searchFindings(program, scene, figures, levels), ...atOnce(meshFindings(program, scene, mesh, levels))])
}

/** The findings of the search alone. */
export function searchFindings(program: ReadProgram, scene: Scene, figures: ContactFigures, levels: LevelSettings = {}): Finding[] {
  const input = searchInputOf(program, scene, defaultEpsilon)
  if (input === undefined) return []
  const { kinematics, toolpath, limits } = input, { inside, near } = figures
  return findingsOfContact(program, scene, { inside, near, faults: partFaults(kinematics, toolpath, limits, figures) }, levels)
}

/** The findings of what a search has found so far. */
export function findingsOfContact(program: ReadProgram, scene: Scene, found: FoundContact, levels: LevelSettings = {}): Finding[] {
  const { setup } = scene, input = searchInputOf(program, scene, defaultEpsilon)
  if (setup === undefined || input === undefined) return []
  const origins = new MotionOrigins(program.toolpath, program, program.called ?? new Map())
  return toFindings(contactProblems(input, setup, found, lineNames(program, scene)).map(origins.tell), levels)
}

/**
 * The text findings and those of the search under the reviewer's comments, once the search has ended. `undecided`: what
 * was not looked at to its end, so that nobody knows whether a comment there covers something.
 */
export function underWaivers(program: ReadProgram, found: readonly Finding[], undecided: { readonly stock?: boolean, readonly result?: boolean } = {}): Finding[] {
  const decided = (rule: string) => !(undecided.result === true && ruleOf(rule)?.group === 'result') && !(undecided.stock === true && rulesOfStock.has(rule))
  return applyWaivers([...program.findings, ...found], program.waivers, decided)
}

/** What shows only when mesh and program are held together: units, and facets too coarse for the limit. In steps. */
export function* meshFindings(program: ReadProgram, scene: Scene, mesh: PartMesh, levels: LevelSettings = {}): Stepwise<Finding[]> {
  const { setup } = scene
  if (setup === undefined || !scene.usable) return []
  const points = yield* cuttingPoints(program, setup)
  const problems: Problem[] = []
  if (points.length > 0 && setup.part !== undefined) {
    const place = { file: setup.path, span: setup.part.span }
    const name = baseName(setup.part.path)
    const low: [number, number, number] = [Infinity, Infinity, Infinity], high: [number, number, number] = [-Infinity, -Infinity, -Infinity]
    points.forEach((value, i) => {
      const k = i % 3
      low[k] = Math.min(low[k] ?? value, value)
      high[k] = Math.max(high[k] ?? value, value)
    })
    const doubt = unitsDoubt(mesh.min, mesh.max, low, high, name, place, mesh.fileUnit)
    const coarse = coarseMesh(mesh.corners, mesh.chordErrors, { name, gouge: setup.limits.gouge, cut: { points, reach: cutReach }, place })
    for (const problem of [doubt, coarse]) if (problem !== undefined) problems.push(problem)
  }
  return toFindings(problems, levels)
}

/** Ends of the feed moves, three numbers each, part frame, mm. */
function* cuttingPoints(program: ReadProgram, setup: Setup): Stepwise<Float64Array> {
  const { toolpath, kinematics } = program
  const width = toolpath.axes.length, pose = newToolPose()
  const points: number[] = []
  for (let i = 0; i < toolpath.count; i++) {
    if (i % MOTIONS_PER_STEP === 0) yield i / toolpath.count
    const tool = setup.tools[toolpath.tool[i] ?? -1]
    if (tool === undefined || ((toolpath.flags[i] ?? 0) & (MotionFlag.rapid | MotionFlag.unknownStart)) !== 0) continue
    toolPose(kinematics, toolpath.joints.subarray((i + 1) * width, (i + 2) * width), gaugeLength(tool), pose)
    points.push(pose.point[0] ?? 0, pose.point[1] ?? 0, pose.point[2] ?? 0)
  }
  return Float64Array.from(points)
}
