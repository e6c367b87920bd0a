import { isObject, list, number, part, placeOf, programOf, text, type Json, type SarifRun } from './sarif-log.ts'

// Several runs of `toolwake check` as one. Each run is taken apart into its programs, and these are put
// together in the order of their names, the way one run over all of them would have written them.

/** What one run says of one program. */
interface ProgramPart {
  readonly file: string
  readonly name: string
  readonly properties: Json
  /** Its own entry among the artifacts and those that came in with it. */
  readonly artifacts: readonly Json[]
  readonly results: readonly Json[]
  readonly notifications: readonly Json[]
}

/** The merged log, or in one sentence why the runs do not fit together. */
export function mergeRuns(runs: readonly SarifRun[]): Json | string {
  const [first] = runs
  if (first === undefined) return 'There is nothing to merge.'
  const driver = JSON.stringify(part(first.run, 'tool'))
  const other = runs.find(({ run }) => JSON.stringify(part(run, 'tool')) !== driver)
  if (other !== undefined) return `${first.file} and ${other.file} were written by different versions of toolwake; check again with one of them.`
  const withStates = runs.filter(({ run }) => list(run, 'results').length > 0).map(({ run }) => list(run, 'results').some(result => 'baselineState' in result))
  if (new Set(withStates).size > 1) return 'Some of the files were held against a baseline and some were not; check all of them alike.'
  const parts = new Map<string, ProgramPart>()
  for (const piece of runs.flatMap(programParts)) {
    const known = parts.get(piece.name)
    if (known !== undefined && said(known) !== said(piece)) return `${known.file} and ${piece.file} say different things of ${piece.name}; leave one of them out.`
    if (known === undefined) parts.set(piece.name, piece)
  }
  const ordered = [...parts.values()].sort((a, b) => plain(a.name) < plain(b.name) ? -1 : 1)
  return { ...first.log, runs: [mergedRun(first.run, ordered, exitCodeOf(runs))] }
}

function mergedRun(model: Json, parts: readonly ProgramPart[], exitCode: number): Json {
  const artifacts = new Artifacts()
  for (const { artifacts: entries } of parts) for (const entry of entries) artifacts.add(uriOf(entry), entry)
  const notifications = artifacts.inObjects(parts.flatMap(each => each.notifications))
  const results = artifacts.inObjects(parts.flatMap(each => each.results))
  return {
    ...model,
    invocations: [{
      executionSuccessful: parts.every(({ properties }) => properties['checked'] === true),
      exitCode,
      ...notifications.length === 0 ? {} : { toolExecutionNotifications: notifications },
    }],
    artifacts: artifacts.list(),
    results,
    properties: { toolwake: mergedProperties(parts.map(({ properties }) => properties)) },
  }
}

/** As `runProperties` writes them: of one program its own, of several the sums and each. */
function mergedProperties(programs: readonly Json[]): Json {
  const [only, ...more] = programs
  if (only !== undefined && more.length === 0) return only
  const total = (key: string) => programs.reduce((sum, program) => sum + (number(program, key) ?? 0), 0)
  return { blocks: total('blocks'), motions: total('motions'), seconds: total('seconds'), programs }
}

function programParts({ file, run }: SarifRun): ProgramPart[] {
  const toolwake = part(run, 'properties', 'toolwake'), entries = list(run, 'artifacts')
  const each = 'program' in toolwake ? [toolwake] : list(toolwake, 'programs')
  const results = list(run, 'results'), told = list(list(run, 'invocations')[0] ?? {}, 'toolExecutionNotifications')
  return each.map(properties => {
    const name = text(properties, 'program') ?? '', at = entries.findIndex(entry => uriOf(entry) === name)
    // What came in with a program stands behind it, up to the next one; what only findings point into has no hash.
    const behind = entries.slice(at + 1), next = behind.findIndex(entry => isTarget(entry) || !('hashes' in entry))
    return {
      file, name, properties,
      artifacts: at < 0 ? [] : [entries[at] ?? {}, ...behind.slice(0, next < 0 ? behind.length : next)],
      results: results.filter(result => programOf(result) === name),
      notifications: told.filter(notification => text(part(placeOf(notification), 'artifactLocation'), 'uri') === name),
    }
  })
}

/** What two files must agree in about a program; places in their lists of files are their own. */
function said({ properties, results }: ProgramPart): string {
  return JSON.stringify([properties, results], (key, value: unknown) => key === 'index' ? undefined : value)
}

/** The gravest of all runs: a fault, what could not be checked, what was found. */
function exitCodeOf(runs: readonly SarifRun[]): number {
  return runs.reduce((worst, { run }) => Math.max(worst, number(list(run, 'invocations')[0] ?? {}, 'exitCode') ?? 0), 0)
}

/** The path behind a URI, as the programs of one run are ordered by it. */
function plain(uri: string): string {
  try {
    return decodeURIComponent(uri)
  } catch {
    return uri
  }
}

function uriOf(artifact: Json): string {
  return text(part(artifact, 'location'), 'uri') ?? ''
}

function isTarget(artifact: Json): boolean {
  const { roles } = artifact
  return Array.isArray(roles) && roles.includes('analysisTarget')
}

/** The merged list of files; places in it replace those of the runs. */
class Artifacts {
  readonly #entries: Json[] = []
  readonly #indexOf = new Map<string, number>()

  add(uri: string, entry: Json): number {
    const known = this.#indexOf.get(uri)
    if (known !== undefined) return known
    this.#indexOf.set(uri, this.#entries.length)
    return this.#entries.push(entry) - 1
  }

  list(): readonly Json[] {
    return this.#entries
  }

  /** The same objects with every artifactLocation counted in this list. */
  inObjects(objects: readonly Json[]): Json[] {
    return objects.map(object => this.#within(object))
  }

  #within(object: Json): Json {
    return Object.fromEntries(Object.entries(object).map(([key, value]) => {
      if ((key === 'artifactLocation' || key === 'analysisTarget') && isObject(value)) {
        const uri = text(value, 'uri') ?? ''
        return [key, { uri, index: this.add(uri, { location: { uri } }) }]
      }
      if (Array.isArray(value)) return [key, value.map((item: unknown) => isObject(item) ? this.#within(item) : item)]
      return [key, isObject(value) ? this.#within(value) : value]
    }))
  }
}
