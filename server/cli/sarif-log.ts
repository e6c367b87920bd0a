import { readBytes } from '../edge/read-file.ts'

// SARIF logs that we have written ourselves, read again: a baseline, the shards of a run. Only what we
// write is looked at; a log of another program is turned away with a sentence.

/** A log holds what was found in hundreds of programs. */
const LARGEST_LOG = 1000 * 2 ** 20

export type Json = Readonly<Record<string, unknown>>

/** The one run of a log. */
export interface SarifRun {
  readonly file: string
  readonly log: Json
  readonly run: Json
}

/** The run of a log, or in one sentence why there is none. */
export async function readSarif(path: string, written: string): Promise<SarifRun | string> {
  const { bytes, failure } = await readBytes(path, 'The SARIF file', LARGEST_LOG)
  if (bytes === undefined) return failure?.replace(path, written) ?? ''
  let log: unknown
  try {
    log = JSON.parse(new TextDecoder().decode(bytes))
  } catch {
    return `${written} is no SARIF file: it is not JSON.`
  }
  const runs = isObject(log) ? list(log, 'runs') : []
  const [run, ...more] = runs
  if (!isObject(log) || log['version'] !== '2.1.0' || run === undefined) return `${written} is no SARIF 2.1.0 file.`
  if (more.length > 0 || nameOf(run) !== 'Toolwake') return `${written} was not written by toolwake: it takes its own SARIF files only.`
  return { file: written, log, run }
}

/** The objects of a list; none where there is no list. */
export function list(object: Json, key: string): Json[] {
  const value = object[key]
  return Array.isArray(value) ? value.filter(isObject) : []
}

/** An object inside an object; empty where there is none. */
export function part(object: Json, ...keys: readonly string[]): Json {
  let at: unknown = object
  for (const key of keys) at = isObject(at) ? at[key] : undefined
  return isObject(at) ? at : {}
}

export function text(object: Json, key: string): string | undefined {
  const value = object[key]
  return typeof value === 'string' ? value : undefined
}

export function number(object: Json, key: string): number | undefined {
  const value = object[key]
  return typeof value === 'number' ? value : undefined
}

export function isObject(value: unknown): value is Json {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

/** The program a result belongs to: the target of the analysis where it is not the file of the place (3.27.13). */
export function programOf(result: Json): string {
  return text(part(result, 'analysisTarget'), 'uri') ?? text(part(placeOf(result), 'artifactLocation'), 'uri') ?? ''
}

/** The physical location of a result's one place. */
export function placeOf(result: Json): Json {
  return part(list(result, 'locations')[0] ?? {}, 'physicalLocation')
}

function nameOf(run: Json): string | undefined {
  return text(part(run, 'tool', 'driver'), 'name')
}
