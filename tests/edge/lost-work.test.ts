import { copyFileSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { PlateJob } from '../harness/plate-job.ts'
import { builtCommand, runToolwake } from '../harness/run-toolwake.ts'

// The built command line with a thread that dies as soon as it is asked: the check goes on, tells what the others have found,
// and says what nobody knows now.

const job = new PlateJob(), built = dirname(builtCommand)
const folder = mkdtempSync(join(tmpdir(), 'toolwake-lost-work-'))
const dies = 'require(\'node:worker_threads\').parentPort.on(\'message\', () => process.exit(7))\n'
const fails = 'const { parentPort } = require(\'node:worker_threads\')\nparentPort.on(\'message\', ({ id }) => parentPort.postMessage({ id, say: \'failed\', message: \'no room\\n    at place\', failure: \'no room\\n    at place\' }))\n'

beforeAll(() => {
  job.write('plate.setup.json', job.sheet.replace('"limits": { "gouge": 0.01 }', '"limits": { "gouge": 0.01 }, "stock": { "box": { "min": [0, 0, -10], "max": [40, 30, 2] } }'))
  // An acceptance of what only the result shows: with the result lost, nobody knows whether it covers anything.
  job.write('plate.nc', `(ACCEPT leftover 5: FINISHED BY HAND)\n${job.program}`)
  restore()
})
afterEach(restore)
afterAll(() => {
  job.remove()
  rmSync(folder, { recursive: true, force: true })
})

function restore(): void {
  for (const name of readdirSync(built).filter(file => file.endsWith('.cjs'))) copyFileSync(join(built, name), join(folder, name))
}

interface Log { runs: { results: { ruleId: string, message: { text: string } }[], properties: { toolwake: Record<string, unknown> } }[] }

async function check(...more: string[]) {
  return runToolwake(['check', 'plate.nc', '--no-cache', ...more], { folder: job.folder, command: join(folder, 'cli.cjs') })
}

async function found() {
  const { output, code, errors } = await check('--format', 'sarif'), run = (JSON.parse(output) as Log).runs[0]
  const told = run.results.map(({ ruleId, message }) => ({ ruleId, text: message.text }))
  return { code, errors, figures: Object.keys(run.properties.toolwake), rules: told.map(({ ruleId }) => ruleId), lost: told.filter(({ ruleId }) => ruleId === 'not-checked').map(({ text }) => text) }
}

const ofContact = (rules: readonly string[]) => rules.filter(rule => rule.endsWith('-contact') || rule === 'gouge')

describe('a check one of whose threads is lost', () => {
  test.each([['dies', dies, 'ended with code 7'], ['fails', fails, 'no room']])('with measuring the result, when its thread %s', async (_, script, why) => {
    const whole = await found()
    expect(ofContact(whole.rules).length).toBeGreaterThan(0)
    expect(whole.lost).toEqual([])
    expect(whole.figures).toEqual(expect.arrayContaining(['leftover', 'stock']))
    expect(whole.rules).toContain('waiver-unused')
    writeFileSync(join(folder, 'result-worker.cjs'), script)
    const left = await found()
    expect(left.code).toBe(whole.code)
    expect(ofContact(left.rules)).toEqual(ofContact(whole.rules))
    expect(left.lost).toEqual([expect.stringMatching(new RegExp(`^What is left on the part was not measured to the end, a fault of ours: [^\\n]*${why}$`))])
    expect(left.errors).toContain('What is left on the part was not measured: ')
    expect(left.figures).toContain('stock')
    expect(left.figures).not.toContain('leftover')
    expect(left.rules).not.toContain('waiver-unused')
    const { output } = await check()
    expect(output).toContain('What is left on the part was not measured to the end; a finding says why.')
    expect(output).not.toContain('the sheet states neither')
  })

  test.each([['dies', dies, 'ended with code 7'], ['fails', fails, 'no room']])('with following the stock, when its thread %s', async (_, script, why) => {
    const whole = await found()
    writeFileSync(join(folder, 'stock-worker.cjs'), script)
    const left = await found()
    expect(ofContact(left.rules)).toEqual(ofContact(whole.rules))
    expect(left.lost).toEqual([expect.stringMatching(new RegExp(`^The stock was not followed to the end, a fault of ours: [^\\n]*${why}$`))])
    expect(left.figures).toContain('leftover')
    expect(left.figures).not.toContain('stock')
    expect((await check()).output).toContain('Not looked at: stock')
  })
})
