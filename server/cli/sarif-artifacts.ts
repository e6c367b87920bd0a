import type { CheckedProgram, InputFile } from './check-report.ts'

/** A SARIF artifactLocation (3.4): where a file is, and its place in the list of files. */
export interface Artifact {
  readonly uri: string
  readonly index: number
}

/** The files of a run, each once: programs first, then what they were checked with, then what findings point into. */
export class SarifArtifacts {
  readonly #shownPath: (path: string) => string
  readonly #indexOf = new Map<string, number>()
  readonly #entries: { uri: string, properties: object }[] = []

  constructor(shownPath: (path: string) => string) {
    this.#shownPath = shownPath
  }

  program(program: CheckedProgram): void {
    const bytes = program.inputs.find(input => input.role === 'program')
    this.#add(program.path, {
      roles: ['analysisTarget', ...(program.path === '-' ? ['standardStream'] : [])],
      ...(bytes === undefined ? {} : hashed(bytes)),
    })
  }

  input(input: InputFile): void {
    const role = input.role === 'setup' || input.role === 'machine' ? { roles: ['userSpecifiedConfiguration'] } : {}
    this.#add(input.path, { ...role, ...hashed(input) })
  }

  locationOf(path: string): Artifact {
    const index = this.#add(path, {})
    return { uri: this.#entries[index]?.uri ?? '', index }
  }

  /** Of a file that is known by its URI alone: from another log. */
  locationOfUri(uri: string): Artifact {
    const known = this.#entries.findIndex(entry => entry.uri === uri)
    return { uri, index: known >= 0 ? known : this.#entries.push({ uri, properties: {} }) - 1 }
  }

  list(): object[] {
    return this.#entries.map(({ uri, properties }) => ({ location: { uri }, ...properties }))
  }

  #add(path: string, properties: object): number {
    const known = this.#indexOf.get(path)
    if (known !== undefined) return known
    this.#indexOf.set(path, this.#entries.length)
    return this.#entries.push({ uri: path === '-' ? 'stdin' : uriOf(this.#shownPath(path)), properties }) - 1
  }
}

function hashed(file: InputFile): object {
  return { length: file.length, hashes: { 'sha-256': file.sha256 } }
}

/** A URI reference: relative paths stay relative, absolute ones get the file scheme. */
export function uriOf(path: string): string {
  const slashes = path.replaceAll('\\', '/')
  const encoded = slashes.split('/').map(encodeURIComponent).join('/')
  if (/^[A-Za-z]:\//.test(slashes)) return `file:///${encoded.replace('%3A', ':')}`
  return slashes.startsWith('/') ? `file://${encoded}` : encoded
}
