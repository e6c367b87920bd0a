// What the editor's extension host calls: runs the suite and writes down each test's outcome.
import { readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Mocha from 'mocha'

export async function run(): Promise<void> {
  const { EDITOR_TEST_RESULT: resultFile, EDITOR_TEST_WORD: word = '' } = process.env
  const mocha = new Mocha({ ui: 'bdd', timeout: 60_000, color: false, forbidOnly: true, forbidPending: true })
  const files = readdirSync(__dirname).filter(name => name.endsWith('.suite.cjs') && `tests/editor/suite/${name}`.includes(word))
  for (const name of files.sort()) mocha.addFile(join(__dirname, name))

  // Written after each test, so that an editor that hangs or falls over still leaves what it knew.
  const outcome = { passed: [] as string[], failed: [] as string[], pending: [] as string[], finished: false }
  const write = (): void => {
    if (resultFile !== undefined) writeFileSync(resultFile, JSON.stringify(outcome, undefined, 2))
  }
  const failures = await new Promise<number>(ended => {
    const runner = mocha.run(ended)
    runner.on('pass', test => outcome.passed.push(test.fullTitle()))
    runner.on('fail', (test, failure) => outcome.failed.push(`${test.fullTitle()}: ${String(failure)}`))
    runner.on('pending', test => outcome.pending.push(test.fullTitle()))
    runner.on('test end', write)
  })
  outcome.finished = true
  write()
  if (failures > 0) throw new Error(`${failures} failed`)
}
