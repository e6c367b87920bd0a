import { mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { hashInputs, SheetHashes } from '../../server/cli/hash-inputs.ts'

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

test('so has what an earlier set-up leaves the stock from: its sheet, what that names, its programs, and the sheet before', async () => {
  const write = (name: string, content: object | string) => writeFileSync(join(folder, name), typeof content === 'string' ? content : JSON.stringify(content))
  write('op30.setup.json', { machine: 'mill.machine.json', stock: { from: 'op20.setup.json' } })
  write('op20.setup.json', { machine: 'mill.machine.json', part: { mesh: 'part.stl' }, programs: ['op20*.nc', 'gone.nc'], stock: { from: 'op10.setup.json' } })
  write('op10.setup.json', { programs: ['op10.nc'], stock: { mesh: 'blank.stl' } })
  for (const name of ['op10.nc', 'op20-a.nc', 'op20-b.nc', 'blank.stl']) write(name, `(${name})`)
  const inputs = await hashInputs(join(folder, 'op30.setup.json'))
  expect(inputs.map(({ role, path }) => [role, path.slice(folder.length + 1)])).toEqual([
    ['setup', 'op30.setup.json'], ['machine', 'mill.machine.json'], ['mesh', 'nose.stl'],
    ...['op20.setup.json', 'part.stl', 'op20-a.nc', 'op20-b.nc', 'op10.setup.json', 'blank.stl', 'op10.nc'].map(name => ['earlier', name]),
  ])
  // Sheets that lead back to each other end.
  write('round.setup.json', { stock: { from: 'round.setup.json' } })
  expect(await hashInputs(join(folder, 'round.setup.json'))).toHaveLength(1)
})

test('what is written to during a check is told, by name; what another file is put in the place of too, and what stays is not', async () => {
  const write = (name: string, content: string) => writeFileSync(join(folder, name), content)
  const sheet = join(folder, 'live.setup.json'), sheets = new SheetHashes()
  write('live.setup.json', JSON.stringify({ part: { mesh: 'live.stl' }, fixtures: [{ mesh: 'jaw.stl' }, { mesh: 'none.stl' }] }))
  write('live.stl', 'solid as it was')
  await sheets.begin(sheet)
  expect((await sheets.end(sheet)).changed).toEqual([])
  write('live.stl', 'solid as it is now')
  const { changed, inputs } = await sheets.end(sheet)
  expect(changed).toMatchObject([{ rule: 'not-checked', level: 'warning', message: expect.stringMatching(/^live\.stl has changed on the disk while this was checked: /) }])
  expect(inputs.map(({ role }) => role)).toEqual(['setup', 'mesh', 'mesh'])
  write('new.stl', 'solid jaw.stl')
  renameSync(join(folder, 'new.stl'), join(folder, 'jaw.stl'))
  expect((await sheets.end(sheet)).changed[0].message).toMatch(/^live\.stl, jaw\.stl have changed /)
})
