import { createHash } from 'node:crypto'
import { resolve } from 'node:path'
import { LARGEST_MESH, LARGEST_PROGRAM, LARGEST_SHEET, decode, readBytes } from '../edge/read-file.ts'
import { programsOfSheet } from '../edge/stock-source.ts'
import { namedBodies, namedFiles, type CheckResult } from '../engine/service.ts'
import type { InputFile } from './check-report.ts'

/** The files a check with this sheet reads, each with its hash; those that cannot be read are findings and stand in no list. */
export async function hashInputs(setupPath: string | undefined): Promise<InputFile[]> {
  if (setupPath === undefined) return []
  const sheet = await readBytes(setupPath, 'The setup sheet', LARGEST_SHEET)
  if (sheet.bytes === undefined) return []
  const named = namedFiles({ path: setupPath, text: decode(sheet.bytes) })
  const inputs = [hashed('setup', setupPath, sheet.bytes)]
  const bodies: string[] = []
  if (named.machine !== undefined) {
    const { bytes } = await readBytes(named.machine, 'The machine file', LARGEST_SHEET)
    if (bytes !== undefined) {
      inputs.push(hashed('machine', named.machine, bytes))
      bodies.push(...namedBodies({ path: named.machine, text: decode(bytes) }))
    }
  }
  // A file that is named twice is one input.
  for (const path of new Set([named.part, ...named.others, ...bodies])) {
    const bytes = path === undefined ? undefined : (await readBytes(path, 'The mesh', LARGEST_MESH)).bytes
    if (path !== undefined && bytes !== undefined) inputs.push(hashed('mesh', path, bytes))
  }
  if (named.earlier !== undefined) inputs.push(...await hashEarlier(named.earlier, new Set([resolve(setupPath), ...inputs.map(({ path }) => resolve(path))])))
  return inputs
}

/** The sheet that leaves the stock, what it names and its programs; then the sheets before it. `known`: files that need not stand twice. */
async function hashEarlier(setupPath: string, known: Set<string>): Promise<InputFile[]> {
  const sheet = known.has(resolve(setupPath)) ? undefined : (await readBytes(setupPath, 'The earlier setup sheet', LARGEST_SHEET)).bytes
  if (sheet === undefined) return []
  const { programs, machine, part, others, earlier } = namedFiles({ path: setupPath, text: decode(sheet) })
  known.add(resolve(setupPath))
  const inputs = [hashed('earlier', setupPath, sheet)]
  for (const path of [machine, part, ...others, ...programsOfSheet({ path: setupPath, programs })]) {
    if (path === undefined || known.has(resolve(path))) continue
    known.add(resolve(path))
    const { bytes } = await readBytes(path, 'The file', LARGEST_MESH)
    if (bytes !== undefined) inputs.push(hashed('earlier', path, bytes))
  }
  return earlier === undefined ? inputs : [...inputs, ...await hashEarlier(earlier, known)]
}

/** The files of each sheet, read once for all programs that are checked with it. */
export class SheetHashes {
  readonly #known = new Map<string | undefined, Promise<InputFile[]>>()

  of(setupPath: string | undefined): Promise<InputFile[]> {
    const known = this.#known.get(setupPath) ?? hashInputs(setupPath)
    this.#known.set(setupPath, known)
    return known
  }
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
