import { neverCancelled } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import type { RuleExample } from '../../server/engine/lint/rule.ts'
import {
  contactFindings, defaultEpsilon, motionsPerRun, newContactFigures, obstacleFilesOf, openMesh, openObstacles, openScene, openStock, placeFigures, readProgram, SceneSearcher, searchInputOf, severalSetups,
  stockFileOf, stockFindings, stockInputOf, underWaivers,
  type BinaryFile, type ReadProgram, type Scene, type TextFile,
} from '../../server/engine/service.ts'
import { exampleMesh } from './example-mesh.ts'
import { findingsOfSurface } from './measure-surface.ts'
import { compareFindings, readRemarks, type ProgramWithRemarks } from './expectations.ts'

type ExampleInput = Pick<RuleExample, 'program' | 'setup' | 'otherSheets' | 'machine' | 'meshes'>

const setupPath = 'example.setup.json'
const machinePath = 'example.machine.json'

/**
 * Checks a program with its remarks, as a user would have it checked, and answers with what differs
 * in words; empty when findings and remarks agree. `rules`: whose findings count besides those the
 * remarks name; all when absent. Remarks may also stand in the sheet and the machine file.
 */
export function check(input: ExampleInput, rules?: readonly string[]): string {
  const files = filesOf(input)
  const named = [...files.values()].flatMap(file => file.expectations.map(expectation => expectation.rule))
  const findings = runExample(input).findings.filter(({ rule }) => rules === undefined || rules.includes(rule) || named.includes(rule))
  const differences = [...files].map(([path, { program, expectations }]) =>
    compareFindings(program, findings.filter(finding => finding.file === path), expectations))
  const elsewhere = findings.filter(({ file }) => !files.has(file)).map(({ file, level, rule, message }) => `unexpected: ${file}: ${level} ${rule}: ${message}`)
  return [...differences, ...elsewhere].filter(text => text !== '').join('\n')
}

/** The program's motions and everything found, contact included where the example gives the part's mesh. */
export function runExample(input: ExampleInput): { findings: Finding[], toolpath: Toolpath } {
  const files = filesOf(input)
  const fileOf = (path: string): TextFile | undefined => {
    const file = files.get(path)
    return file === undefined ? undefined : { path, text: file.program }
  }
  const scene = openScene(fileOf(setupPath), fileOf(machinePath))
  const program = readProgram({ path: 'example.nc', text: files.get(undefined)?.program ?? '' }, scene)
  const found = [...scene.findings, ...severalSetups(setupPath, input.otherSheets ?? []), ...searchContact(input, scene, program), ...followStock(input, scene, program)]
  return { findings: underWaivers(program, found), toolpath: program.toolpath }
}

function searchContact({ meshes = {} }: ExampleInput, scene: Scene, program: ReadProgram): Finding[] {
  const path = scene.setup?.part?.path
  const body = path === undefined ? undefined : meshes[path]
  if (path === undefined || body === undefined) return []
  const { mesh, findings } = openMesh({ path, bytes: exampleMesh(body) }, scene)
  const search = searchInputOf(program, scene, defaultEpsilon)
  if (mesh === undefined || search === undefined) return findings
  const { obstacles, findings: ofOthers } = openObstacles(obstacleFilesOf(scene).map(source => ({ ...source, file: fileOfMesh(source.path, meshes) })), scene, {}, mesh)
  const searcher = new SceneSearcher(search, { part: mesh, obstacles }, neverCancelled)
  const figures = newContactFigures(0, program.toolpath.count)
  for (let first = 0; first < figures.count; first += motionsPerRun) {
    placeFigures(figures, searcher.searchRun(first, Math.min(motionsPerRun, figures.count - first)))
  }
  return [...findings, ...ofOthers, ...contactFindings(program, scene, mesh, figures), ...findingsOfSurface(program, scene, mesh, 0.25)]
}

function followStock({ meshes = {} }: ExampleInput, scene: Scene, program: ReadProgram): Finding[] {
  const wanted = stockFileOf(scene), input = stockInputOf(program, scene)
  if (input === undefined || scene.setup?.stock === undefined) return []
  const { simulation, findings } = openStock({ scene, file: wanted === undefined ? undefined : fileOfMesh(wanted.path, meshes) }, neverCancelled)
  return simulation === undefined ? [...findings] : [...findings, ...stockFindings(program, scene, simulation.run(input))]
}

function fileOfMesh(path: string, meshes: RuleExample['meshes'] = {}): BinaryFile {
  const body = meshes[path]
  return body === undefined ? { path, failure: `The example has no mesh ${path}.` } : { path, bytes: exampleMesh(body) }
}

/** The texts by path; the program itself has none. */
function filesOf(input: ExampleInput): Map<string | undefined, ProgramWithRemarks> {
  const files = new Map<string | undefined, ProgramWithRemarks>([[undefined, readRemarks(input.program)]])
  if (input.setup !== undefined) files.set(setupPath, readRemarks(input.setup))
  if (input.machine !== undefined) files.set(machinePath, readRemarks(input.machine))
  return files
}
