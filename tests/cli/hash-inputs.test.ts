import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { hashInputs } from '../../server/cli/hash-inputs.ts'

const folder = mkdtempSync(join(tmpdir(), 'toolwake-hashes-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

test('every file that takes part has its hash, once: meshes of part, fixtures, barriers and machine bodies too', async () => {
  const write = (name: string, content: object | string) => writeFileSync(join(folder, name), typeof content === 'string' ? content : JSON.stringify(content))
  write('job.setup.json', {
    machine: 'mill.machine.json', part: { mesh: 'part.stl' }, fixtures: [{ mesh: 'jaw.stl' }, { mesh: 'jaw.stl' }], barriers: [{ mesh: 'floor.stl' }, { mesh: 'gone.stl' }],
  })
  write('mill.machine.json', { bodies: [{ mesh: 'nose.stl' }, { mesh: 7 }, 'nothing'] })
  for (const name of ['part.stl', 'jaw.stl', 'floor.stl', 'nose.stl']) write(name, `solid ${name}`)
  const inputs = await hashInputs(join(folder, 'job.setup.json'))
  expect(inputs.map(({ role, path }) => [role, path.slice(folder.length + 1)])).toEqual([
    ['setup', 'job.setup.json'], ['machine', 'mill.machine.json'], ['mesh', 'part.stl'], ['mesh', 'jaw.stl'], ['mesh', 'floor.stl'], ['mesh', 'nose.stl'],
  ])
  expect(new Set(inputs.map(({ sha256 }) => sha256)).size).toBe(6)
})
