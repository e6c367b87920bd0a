import { basename, resolve } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import { meshesOfSheet, openMachine, openScene, unreadableMeshes, type NamedMesh, type Scene } from '../engine/service.ts'
import { refusalOf } from './outside-files.ts'
import { LARGEST_MESH, LARGEST_SHEET, readText, whyUnreadable } from './read-file.ts'
import { readInputs, type InputOptions } from './read-inputs.ts'

/** What is wrong with a sheet or machine file and the files it names, looked at without any program. */
export interface CheckedInput {
  /** Each names its file. */
  readonly findings: readonly Finding[]
  /** The texts that findings point into, by path. */
  readonly texts: ReadonlyMap<string, string>
  /** Every file that was looked at, also those that are not there: a change of one is a reason to look again. */
  readonly paths: ReadonlySet<string>
}

/**
 * A setup sheet with its machine file, and whether the meshes and the earlier sheet that it names can be opened. What
 * lies in a mesh is told once a program is checked: reading it can take seconds.
 */
export async function checkSheet(path: string, options: InputOptions = {}): Promise<CheckedInput> {
  const { sheet, machine, failures } = await readInputs(path, { ...options, withoutMesh: true })
  const scene = openScene(sheet, machine, failures), earlier = scene.setup?.stock?.kind === 'from' ? scene.setup.stock.path : undefined
  const meshes = [...scene.setup === undefined ? [] : meshesOfSheet(scene.setup), ...machine === undefined ? [] : openMachine(machine).meshes]
  const [ofMeshes, ofEarlier] = await Promise.all([missingMeshes(meshes, options), missingEarlier(scene, earlier, options)])
  return {
    findings: [...scene.findings, ...ofMeshes, ...ofEarlier],
    texts: new Map([sheet, machine].flatMap(file => file === undefined ? [] : [[file.path, file.text] as const])),
    paths: new Set([resolve(path), ...[sheet, machine, ...failures, ...meshes].flatMap(file => file?.path ?? []), ...earlier === undefined ? [] : [earlier]]),
  }
}

/** A machine file by itself, and whether the meshes of its bodies can be opened. */
export async function checkMachine(path: string, options: InputOptions = {}): Promise<CheckedInput> {
  const { openText } = options
  const text = openText?.(path)
  const { file, failure } = text === undefined ? await readText(path, 'The machine file', LARGEST_SHEET) : { file: { path, text } }
  if (file === undefined) {
    return { findings: [{ rule: 'setup-error', level: 'error', file: path, span: { start: 0, end: 0 }, message: failure ?? 'The machine file was not read.' }], texts: new Map(), paths: new Set([path]) }
  }
  const { meshes, findings } = openMachine(file)
  return { findings: [...findings, ...await missingMeshes(meshes, options)], texts: new Map([[path, file.text]]), paths: new Set([path, ...meshes.map(mesh => mesh.path)]) }
}

async function missingMeshes(meshes: readonly NamedMesh[], { mayRead }: InputOptions): Promise<Finding[]> {
  const failures = await Promise.all(meshes.map(async mesh => ({ mesh, failure: refusalOf(mesh.path, mesh.what, mayRead) ?? await whyUnreadable(mesh.path, mesh.what, LARGEST_MESH) })))
  return unreadableMeshes(failures.flatMap(({ mesh, failure }) => failure === undefined ? [] : [{ mesh, failure }]))
}

/** The sheet whose programs leave the stock; its own faults are told where it is open itself, or with the program. */
async function missingEarlier({ setup }: Scene, path: string | undefined, { openText, mayRead }: InputOptions): Promise<Finding[]> {
  if (setup === undefined || path === undefined || openText?.(path) !== undefined) return []
  const failure = refusalOf(path, 'The setup sheet', mayRead) ?? await whyUnreadable(path, 'The setup sheet', LARGEST_SHEET)
  if (failure === undefined) return []
  return [{ rule: 'setup-error', level: 'error', file: setup.path, span: setup.spans['stock'] ?? { start: 0, end: 0 }, message: `The stock comes from ${basename(path)}, which cannot be used: ${failure}` }]
}
