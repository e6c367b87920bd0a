import { createHash } from 'node:crypto'
import { LARGEST_MESH, LARGEST_SHEET, decode, readBytes } from '../edge/read-file.ts'
import { namedFiles } from '../engine/service.ts'
import type { InputFile } from './check-report.ts'

/** The files a check with this sheet reads, each with its hash; those that cannot be read are findings and stand in no list. */
export async function hashInputs(setupPath: string | undefined): Promise<InputFile[]> {
  if (setupPath === undefined) return []
  const sheet = await readBytes(setupPath, 'The setup sheet', LARGEST_SHEET)
  if (sheet.bytes === undefined) return []
  const named = namedFiles({ path: setupPath, text: decode(sheet.bytes) })
  const inputs = [hashed('setup', setupPath, sheet.bytes)]
  // A file that is named twice is one input.
  const meshes = [...new Set([named.part, ...named.others])].map(path => ['mesh', path, LARGEST_MESH] as const)
  for (const [role, path, largest] of [['machine', named.machine, LARGEST_SHEET] as const, ...meshes]) {
    const bytes = path === undefined ? undefined : (await readBytes(path, 'The file', largest)).bytes
    if (path !== undefined && bytes !== undefined) inputs.push(hashed(role, path, bytes))
  }
  return inputs
}

export function hashed(role: InputFile['role'], path: string, bytes: Uint8Array): InputFile {
  return { role, path, sha256: createHash('sha256').update(bytes).digest('hex'), length: bytes.length }
}
