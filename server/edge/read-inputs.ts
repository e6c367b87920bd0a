import { resolve } from 'node:path'
import { type BinaryFile, namedFiles, type ObstacleFile, obstacleFilesOf, type Scene, type TextFile } from '../engine/service.ts'
import { isMachineFile } from './kind-of-file.ts'
import { readAllowed, refusalOf, type MayRead } from './outside-files.ts'
import { LARGEST_MESH, LARGEST_PROGRAM, LARGEST_SHEET, readText, type TextResult } from './read-file.ts'

/** An input that could not be read, in one sentence. */
export interface InputFailure {
  readonly of: 'sheet' | 'machine'
  readonly path: string
  readonly message: string
}

/** Everything a check needs besides the program, as far as it could be read. */
export interface Inputs {
  readonly sheet?: TextFile
  readonly machine?: TextFile
  /** The part's mesh, its bytes or why there are none; absent where the sheet names no part. */
  readonly part?: BinaryFile
  readonly failures: readonly InputFailure[]
}

export interface InputOptions {
  /** Text of a file that an editor holds open, which goes before the disk's. */
  readonly openText?: (path: string) => string | undefined
  /** Leaves the mesh on the disk: for whoever only wants the text findings, or has it already. */
  readonly withoutMesh?: boolean
  /** Asked before a file is read that a sheet or machine file names; absent: every file may be. */
  readonly mayRead?: MayRead
}

/** The sheet, and what it points to. Paths in the sheet count from its own folder. */
export async function readInputs(setupPath: string | undefined, options: InputOptions = {}): Promise<Inputs> {
  if (setupPath === undefined) return { failures: [] }
  const failures: InputFailure[] = []
  const sheet = await textOf(resolve(setupPath), 'The setup sheet', options)
  if (sheet.file === undefined) return { failures: [{ of: 'sheet', path: setupPath, message: sheet.failure ?? '' }] }
  const named = namedFiles(sheet.file)
  const [machine, part] = await Promise.all([
    named.machine === undefined ? undefined : machineOf(named.machine, options),
    named.part === undefined || options.withoutMesh === true ? undefined : readMesh(named.part, options),
  ])
  if (named.machine !== undefined && machine?.failure !== undefined) failures.push({ of: 'machine', path: named.machine, message: machine.failure })
  return { sheet: sheet.file, machine: machine?.file, part, failures }
}

/** A program as it lies on the disk. */
export function readProgramFile(path: string): Promise<TextResult> {
  return readText(path, 'The program', LARGEST_PROGRAM)
}

async function machineOf(path: string, options: InputOptions): Promise<TextResult> {
  const read = await textOf(path, 'The machine file', options)
  if (read.file === undefined || isMachineFile(read.file)) return read
  return { failure: `The machine file ${path} is none: it holds no "axes", and its name does not end in .machine.json.` }
}

async function textOf(path: string, what: string, { openText, mayRead }: InputOptions): Promise<TextResult> {
  const failure = refusalOf(path, what, mayRead)
  if (failure !== undefined) return { failure }
  const text = openText?.(path)
  return text === undefined ? readText(path, what, LARGEST_SHEET) : { file: { path, text } }
}

/** The meshes of a scene besides the part's, those that cannot be read among them. */
export function readObstacles(scene: Scene, { mayRead }: Pick<InputOptions, 'mayRead'> = {}): Promise<ObstacleFile[]> {
  return Promise.all(obstacleFilesOf(scene).map(async source => ({ ...source, file: await readAllowed(source.path, source.what, LARGEST_MESH, mayRead) })))
}

/** A mesh's bytes, or in one sentence why there are none. */
export function readMesh(path: string, { mayRead }: Pick<InputOptions, 'mayRead'> = {}): Promise<BinaryFile> {
  return readAllowed(path, 'The part\'s mesh', LARGEST_MESH, mayRead)
}
