import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'

const { packagesAreCurrent }: { packagesAreCurrent: (folder: string) => boolean } =
  await import(new URL('../../.scripts/set-up/packages.mjs', import.meta.url).href)

let folder: string

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'toolwake-packages-'))
  lock('package-lock.json', { '': {}, 'node_modules/a': { version: '1.0.0' }, 'node_modules/b': { version: '2.0.0', optional: true } })
  mkdirSync(join(folder, 'node_modules/a'), { recursive: true })
  writeFileSync(join(folder, 'node_modules/a/package.json'), '{}')
  lock('node_modules/.package-lock.json', { 'node_modules/a': { version: '1.0.0' } })
})

afterEach(() => rmSync(folder, { recursive: true }))

function lock(name: string, packages: Record<string, unknown>): void {
  mkdirSync(join(folder, 'node_modules'), { recursive: true })
  writeFileSync(join(folder, name), JSON.stringify({ packages }))
}

describe('are the packages of the lock file there?', () => {
  test('yes, when each stands in its version; those for other systems may be absent', () => {
    expect(packagesAreCurrent(folder)).toBe(true)
  })

  test('no, when nothing was installed', () => {
    rmSync(join(folder, 'node_modules'), { recursive: true })
    expect(packagesAreCurrent(folder)).toBe(false)
  })

  test('no, when the lock file asks for another version', () => {
    lock('package-lock.json', { '': {}, 'node_modules/a': { version: '1.0.1' } })
    expect(packagesAreCurrent(folder)).toBe(false)
  })

  test('no, when the lock file asks for one more package', () => {
    lock('package-lock.json', { '': {}, 'node_modules/a': { version: '1.0.0' }, 'node_modules/c': { version: '1.0.0' } })
    expect(packagesAreCurrent(folder)).toBe(false)
  })

  test('no, when a folder was deleted', () => {
    rmSync(join(folder, 'node_modules/a'), { recursive: true })
    expect(packagesAreCurrent(folder)).toBe(false)
  })
})
