import { execFileSync } from 'node:child_process'
import { appendFileSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { setImmediate as turn } from 'node:timers/promises'
import { afterAll, describe, expect, it } from 'vitest'
import { runToolwake } from '../harness/run-toolwake.ts'
import { LARGEST_MESH, readBytes, readTextNow } from '../../server/edge/read-file.ts'

// What a sheet may name instead of a mesh. Nothing of it may be waited for or read without end.

const folder = mkdtempSync(join(tmpdir(), 'toolwake-odd-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const pipe = join(folder, 'pipe.stl'), circle = join(folder, 'circle.stl')
symlinkSync(circle, circle)

const hasDevices = process.platform !== 'win32'
if (hasDevices) execFileSync('mkfifo', [pipe])

describe.each([
  ['a folder', folder, /is a folder, not a file/],
  ['a link that leads to itself', circle, /circle\.stl/],
  ...hasDevices ? [
    ['a device without end', '/dev/zero', /is not an ordinary file/],
    ['a pipe that nobody writes into', pipe, /is not an ordinary file/],
  ] as const : [],
] as const)('%s', (_, path, sentence) => {
  it('is told instead of read', async () => {
    const { bytes, failure } = await readBytes(path, 'The mesh', LARGEST_MESH)
    expect(bytes).toBeUndefined()
    expect(failure).toMatch(sentence)
  })

  it('is told at once where the search through folders meets it', () => {
    expect(readTextNow(path, 'The sheet', LARGEST_MESH).failure).toMatch(sentence)
  })
})

it('a strange file that a sheet names is told, and nothing of it is quoted', async () => {
  const strange = { 'token.txt': 'TOKEN=abcd1234\nsolid abcd1234\n', 'auths.json': '{ "auths": { "token": "abcd1234" } }' }
  for (const [name, text] of Object.entries(strange)) writeFileSync(join(folder, name), text)
  writeFileSync(join(folder, 'a.nc'), 'G90 G0 X0\n')
  for (const name of Object.keys(strange)) {
    for (const sheet of [
      { machine: name, part: { mesh: name }, tools: [] },
      { part: { mesh: name }, fixtures: [{ name: 'jaw', mesh: name }], barriers: [{ name: 'floor', mesh: name }], stock: { from: name }, tools: [] },
    ]) {
      writeFileSync(join(folder, 'a.setup.json'), JSON.stringify({ programs: ['a.nc'], ...sheet }))
      const { output, errors, code } = await runToolwake(['check', 'a.nc', '--format', 'sarif', '--no-cache'], { folder })
      expect(code).toBe(1)
      expect(output).toContain(name)
      expect(output + errors).not.toContain('abcd1234')
    }
  }
})

describe('a file that is written to while it is read', () => {
  const path = join(folder, 'growing.stl'), before = new Uint8Array(8 * 2 ** 20).fill(1)

  it('again and again is told, and nothing of it is used', async () => {
    writeFileSync(path, before)
    let isRead = false
    const read = readBytes(path, 'The mesh', LARGEST_MESH).finally(() => { isRead = true })
    while (!isRead) {
      appendFileSync(path, 'x')
      await turn()
    }
    expect(await read).toEqual({ path, failure: `The mesh ${path} was written to again and again while it was read. Check again once it is whole.` })
  })

  it('once is read again, and comes as it was before or as it is after', async () => {
    for (let turns = 0; turns < 6; turns++) {
      writeFileSync(path, before)
      const read = readBytes(path, 'The mesh', LARGEST_MESH)
      for (let n = 0; n < turns; n++) await turn()
      writeFileSync(path, new Uint8Array(9 * 2 ** 20).fill(2))
      const { bytes = new Uint8Array() } = await read
      expect([bytes.length, bytes[0], bytes.at(-1)]).toEqual(bytes.length === before.length ? [before.length, 1, 1] : [9 * 2 ** 20, 2, 2])
    }
  })
})
