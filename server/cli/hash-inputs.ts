import { createHash } from 'node:crypto'
import { basename, resolve } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import { LARGEST_MESH, LARGEST_PROGRAM, LARGEST_SHEET, decode, readBytes, stampOf } from '../edge/read-file.ts'
import { programsOfSheet } from '../edge/stock-source.ts'
import { namedBodies, namedFiles, type CheckResult } from '../engine/service.ts'
import type { InputFile } from './check-report.ts'

/** A file that takes part in a check, and as what. */
interface NamedInput { readonly role: InputFile['role'], readonly path: string, readonly what: string, readonly largest: number }

/** The files a check with this sheet reads, each with its hash; those that cannot be read are findings and stand in no list. */
export async function hashInputs(setupPath: string | undefined): Promise<InputFile[]> {
  const inputs: InputFile[] = []
  for (const { role, path, what, largest } of await namedInputs(setupPath)) {
    const { bytes } = await readBytes(path, what, largest)
    if (bytes !== undefined) inputs.push(hashed(role, path, bytes))
  }
  return inputs
}

/** The files that a sheet names, itself first. A file that is named twice is one input. */
async function namedInputs(setupPath: string | undefined): Promise<NamedInput[]> {
  const sheet = setupPath === undefined ? undefined : await readBytes(setupPath, 'The setup sheet', LARGEST_SHEET)
  if (setupPath === undefined || sheet?.bytes === undefined) return []
  const named = namedFiles({ path: setupPath, text: decode(sheet.bytes) })
  const inputs: NamedInput[] = [{ role: 'setup', path: setupPath, what: 'The setup sheet', largest: LARGEST_SHEET }]
  const bodies: string[] = []
  if (named.machine !== undefined) {
    const { bytes } = await readBytes(named.machine, 'The machine file', LARGEST_SHEET)
    inputs.push({ role: 'machine', path: named.machine, what: 'The machine file', largest: LARGEST_SHEET })
    if (bytes !== undefined) bodies.push(...namedBodies({ path: named.machine, text: decode(bytes) }))
  }
  for (const path of new Set([named.part, ...named.others, ...bodies])) if (path !== undefined) inputs.push({ role: 'mesh', path, what: 'The mesh', largest: LARGEST_MESH })
  if (named.earlier !== undefined) inputs.push(...await namedEarlier(named.earlier, new Set([resolve(setupPath), ...inputs.map(({ path }) => resolve(path))])))
  return inputs
}

/** The sheet that leaves the stock, what it names and its programs; then the sheets before it. `known`: files that need not stand twice. */
async function namedEarlier(setupPath: string, known: Set<string>): Promise<NamedInput[]> {
  const sheet = known.has(resolve(setupPath)) ? undefined : (await readBytes(setupPath, 'The earlier setup sheet', LARGEST_SHEET)).bytes
  if (sheet === undefined) return []
  const { programs, machine, part, others, earlier } = namedFiles({ path: setupPath, text: decode(sheet) })
  known.add(resolve(setupPath))
  const inputs: NamedInput[] = [{ role: 'earlier', path: setupPath, what: 'The earlier setup sheet', largest: LARGEST_SHEET }]
  for (const path of [machine, part, ...others, ...programsOfSheet({ path: setupPath, programs })]) {
    if (path === undefined || known.has(resolve(path))) continue
    known.add(resolve(path))
    inputs.push({ role: 'earlier', path, what: 'The file', largest: LARGEST_MESH })
  }
  return earlier === undefined ? inputs : [...inputs, ...await namedEarlier(earlier, known)]
}

/** The files of one sheet as they are at the end of a check, and what has become of them since its beginning. */
export interface SheetFiles {
  readonly inputs: readonly InputFile[]
  /** At most one finding: which of them have been written to since. */
  readonly changed: readonly Finding[]
}

/** The files of each sheet, read once for all programs that are checked with it. */
export class SheetHashes {
  readonly #inputs = new Map<string | undefined, Promise<InputFile[]>>()
  readonly #stamps = new Map<string | undefined, ReadonlyMap<string, string | undefined>>()

  /** Before anything is read for a check with this sheet. */
  async begin(setupPath: string | undefined): Promise<void> {
    if (!this.#stamps.has(setupPath)) this.#stamps.set(setupPath, await stampsOf((await namedInputs(setupPath)).map(({ path }) => path)))
  }

  /** After the check. */
  async end(setupPath: string | undefined): Promise<SheetFiles> {
    const known = this.#inputs.get(setupPath) ?? hashInputs(setupPath), before = this.#stamps.get(setupPath) ?? new Map<string, undefined>()
    this.#inputs.set(setupPath, known)
    const inputs = await known, after = await stampsOf([...before.keys()])
    return { inputs, changed: changeFindings([...before.keys()].filter(path => before.get(path) !== after.get(path))) }
  }
}

async function stampsOf(paths: readonly string[]): Promise<ReadonlyMap<string, string | undefined>> {
  return new Map(await Promise.all(paths.map(async path => [path, await stampOf(path)] as const)))
}

function changeFindings(paths: readonly string[]): Finding[] {
  if (paths.length === 0) return []
  const names = [...new Set(paths.map(path => basename(path)))].join(', ')
  return [{
    rule: 'not-checked', level: 'warning', span: { start: 0, end: 0 },
    message: `${names} ${paths.length === 1 ? 'has' : 'have'} changed on the disk while this was checked: it is not known which state the figures are of, nor that the SHA-256 names that one. Check again.`,
  }]
}

/** The files of the programs that a program has called by number. */
export async function hashCalled({ program: { toolpath } }: CheckResult): Promise<InputFile[]> {
  const inputs: InputFile[] = []
  for (const path of new Set((toolpath.calls ?? []).flatMap(call => call.target ?? []))) {
    const { bytes } = await readBytes(path, 'The called program', LARGEST_PROGRAM)
    if (bytes !== undefined) inputs.push(hashed('called', path, bytes))
  }
  return inputs
}

export function hashed(role: InputFile['role'], path: string, bytes: Uint8Array): InputFile {
  return { role, path, sha256: createHash('sha256').update(bytes).digest('hex'), length: bytes.length }
}
