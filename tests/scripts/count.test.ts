import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'

interface Counted {
  readonly passed: number
  readonly failed: number
  readonly remarks: readonly string[]
}

type Count = (file: string, exitCode: number) => Counted

const { countVitest, countSuite }: { countVitest: Count, countSuite: Count } =
  await import(new URL('../../.scripts/set-up/count.mjs', import.meta.url).href)

const folder = mkdtempSync(join(tmpdir(), 'toolwake-count-'))
afterAll(() => rmSync(folder, { recursive: true }))

function wrote(content: unknown): string {
  const file = join(folder, 'result.json')
  writeFileSync(file, JSON.stringify(content))
  return file
}

const test1 = { status: 'passed', fullName: 'one' }

describe('counting the results of the unit tests', () => {
  test('passed and failed are taken over', () => {
    const file = wrote({ numPassedTests: 3, numTotalTests: 4, testResults: [{ name: 'a', status: 'failed', assertionResults: [test1, { status: 'failed', fullName: 'two' }] }] })
    expect(countVitest(file, 1)).toEqual({ passed: 3, failed: 1, remarks: [] })
  })

  test('a test that was not run counts as failed, and is named', () => {
    const file = wrote({ numPassedTests: 1, numTotalTests: 2, testResults: [{ name: 'a', status: 'passed', assertionResults: [test1, { status: 'pending', fullName: 'two' }] }] })
    const { passed, failed, remarks } = countVitest(file, 0)
    expect([passed, failed]).toEqual([1, 1])
    expect(remarks[0]).toContain('two')
  })

  test('a file that could not be loaded is a failure', () => {
    const file = wrote({ numPassedTests: 1, numTotalTests: 1, testResults: [{ name: 'a', status: 'failed', assertionResults: [] }] })
    expect(countVitest(file, 1)).toMatchObject({ passed: 1, failed: 1 })
  })

  test('an exit code that no test explains is a failure', () => {
    const file = wrote({ numPassedTests: 1, numTotalTests: 1, testResults: [{ name: 'a', status: 'passed', assertionResults: [test1] }] })
    expect(countVitest(file, 0)).toMatchObject({ passed: 1, failed: 0 })
    expect(countVitest(file, 139)).toMatchObject({ passed: 1, failed: 1 })
  })

  test('no result at all is a failure', () => {
    expect(countVitest(join(folder, 'absent.json'), 0)).toMatchObject({ passed: 0, failed: 1 })
  })
})

describe('counting the results of the suite in the editor', () => {
  test('what was left out counts as failed', () => {
    const file = wrote({ passed: ['a', 'b'], failed: ['c'], pending: ['d'], finished: true })
    expect(countSuite(file, 1)).toMatchObject({ passed: 2, failed: 2 })
  })

  test('an editor that fell over half-way is a failure besides what it knew', () => {
    const file = wrote({ passed: ['a', 'b'], failed: ['c'], pending: [], finished: false })
    expect(countSuite(file, 124)).toMatchObject({ passed: 2, failed: 2 })
  })

  test('an editor that fell over after the last test is a failure', () => {
    const file = wrote({ passed: ['a', 'b'], failed: [], pending: [], finished: true })
    expect(countSuite(file, 0)).toMatchObject({ passed: 2, failed: 0 })
    expect(countSuite(file, 71)).toMatchObject({ passed: 2, failed: 1 })
  })
})
