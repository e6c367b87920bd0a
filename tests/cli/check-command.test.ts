import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, lstatSync, writeFileSync, mkdirSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { readArguments } from '../../server/cli/arguments.ts'
import { runCheck } from '../../server/cli/check-command.ts'
import type { CheckJob } from '../../server/edge/check-job.ts'
import { runExplain } from '../../server/cli/explain-command.ts'
import { startProgressLine } from '../../server/cli/progress-line.ts'
import type { Finding } from '../../shared/finding.ts'
import { neverCancelled } from '../../shared/cancellation.ts'
import { checkResult, contact, paperTerminal, rules, spanOf } from './hand-made.ts'

const text = 'N10 G1 X10.\nN20 X11.\nN30 X12.\n'

const note: Finding = { rule: 'short-block', level: 'note', message: 'Short.', span: spanOf(text, 'N10') }
const warning: Finding = { rule: 'holder-clearance', level: 'warning', message: 'Near.', span: spanOf(text, 'X11.') }
const error: Finding = { rule: 'gouge', level: 'error', message: 'Deep.', span: spanOf(text, 'X12.') }
const waived: Finding = { ...error, waiver: { reason: 'AGREED', span: { start: 0, end: 1 } } }
const open: Finding = { ...error, open: true }
const noMesh: Finding = { rule: 'not-checked', level: 'warning', message: 'No mesh.', span: { start: 0, end: 0 } }

let folder = ''

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'toolwake-cli-'))
  writeFileSync(join(folder, 'a.nc'), text)
})
afterEach(() => rmSync(folder, { recursive: true, force: true }))

interface Run {
  readonly exitCode: number
  readonly output: string
  readonly errors: string
  readonly requests: readonly CheckJob[]
}

/** Runs a call in the folder; every program has the findings given. */
async function run(call: string, findings: readonly Finding[], input?: string): Promise<Run> {
  const read = readArguments(call.split(' '))
  if (read.kind !== 'check') throw new Error(`not a check: ${JSON.stringify(read)}`)
  const terminal = paperTerminal({ folder, input })
  const requests: CheckJob[] = []
  const exitCode = await runCheck(read.options, terminal, {
    checkProgram: request => {
      requests.push(request)
      return Promise.resolve(checkResult(request.text, findings))
    },
    rules, version: '1.2.3', now: () => 0, cancellation: neverCancelled, threads: 2,
  })
  return { exitCode, requests, ...terminal.written }
}

describe('exit codes', () => {
  test.each<[string, string, readonly Finding[], number]>([
    ['nothing found', 'check a.nc', [], 0],
    ['a warning, failing on errors', 'check a.nc', [warning, note], 0],
    ['an error', 'check a.nc', [error], 1],
    ['a warning, failing on warnings', 'check a.nc --fail-on warning', [warning], 1],
    ['a note, failing on warnings', 'check a.nc --fail-on warning', [note], 0],
    ['a note, failing on notes', 'check a.nc --fail-on note', [note], 1],
    ['an accepted error', 'check a.nc --fail-on note', [waived], 0],
    ['an undecided error', 'check a.nc', [open], 1],
    ['an error of a rule not asked for', 'check a.nc --only short-block', [error], 0],
    ['an error outside the lines asked for', 'check a.nc --blocks 1..2', [error], 0],
    ['an error inside the blocks asked for', 'check a.nc --blocks N20..N30', [error], 1],
    ['one program is missing', 'check a.nc gone.nc', [], 2],
    ['an unknown rule', 'check a.nc --only goug', [], 2],
    ['a block that is not there', 'check a.nc --blocks N99..', [], 2],
    ['lines that are not there', 'check a.nc --blocks 9..12', [], 2],
  ])('%s: %s', async (_what, call, findings, exitCode) => {
    expect((await run(call, findings)).exitCode).toBe(exitCode)
  })
})

describe('inputs that cannot be used', () => {
  test.each<[string, string, (path: string) => void]>([
    ['a missing file', 'The program gone.nc is not there.', () => undefined],
    ['an empty file', 'The program gone.nc is empty: there is no block to check.', path => writeFileSync(path, ' \r\n')],
    ['a binary file', 'The program gone.nc is no text: byte 4 is zero, which no text holds. Was a mesh or an archive named by mistake?',
      path => writeFileSync(path, Uint8Array.of(71, 49, 32, 88, 0, 1, 2))],
    ['a file of zeros', 'The program gone.nc is no text: byte 0 is zero, which no text holds. Was a mesh or an archive named by mistake?',
      path => writeFileSync(path, new Uint8Array(100))],
    ['a link to itself', 'The program gone.nc cannot be reached: its links run in a circle.', path => symlinkSync(path, path)],
  ])('%s', async (_what, message, make) => {
    make(join(folder, 'gone.nc'))
    const { exitCode, output, errors, requests } = await run('check gone.nc', [])
    expect(exitCode).toBe(2)
    expect(requests).toEqual([])
    expect(errors).toBe(`toolwake: ${message}\n`)
    expect(output).toContain(message)
    expect(output).toContain('Not checked: gone.nc.')
  })

  test('the other programs are checked all the same', async () => {
    const { output, requests } = await run('check gone.nc a.nc', [error])
    expect(requests).toHaveLength(1)
    expect(output).toContain('ERROR gouge  a.nc:3:5')
  })

  test('a folder without a program', async () => {
    mkdirSync(join(folder, 'empty'))
    const { exitCode, errors, requests } = await run('check empty', [])
    expect([exitCode, requests, errors]).toEqual([2, [], 'toolwake: The folder empty holds no program (.nc, .cnc, .ngc, .tap).\n'])
  })
})

describe('how a program is read', () => {
  test.each<[string, Uint8Array]>([
    ['with a byte order mark', Buffer.from(`\ufeff${text}`)],
    ['in UTF-16', Buffer.from(`\ufeff${text}`, 'utf16le')],
  ])('%s', async (_what, bytes) => {
    writeFileSync(join(folder, 'a.nc'), bytes)
    expect((await run('check a.nc', [])).requests[0].text).toBe(text)
  })
  test('a leader of zero bytes, as punched tape has it, does not make a program binary', async () => {
    writeFileSync(join(folder, 'a.nc'), Buffer.concat([new Uint8Array(40), Buffer.from(text)]))
    expect((await run('check a.nc', [])).requests[0].text.slice(40)).toBe(text)
  })
  test('bytes that are no UTF-8 are read one character a byte', async () => {
    writeFileSync(join(folder, 'a.nc'), Buffer.concat([Buffer.from('('), Uint8Array.of(0xd8), Buffer.from(`4)\n${text}`)]))
    expect((await run('check a.nc', [])).requests[0].text).toBe(`(\u00d84)\n${text}`)
  })
  test('from standard input', async () => {
    const { output, requests } = await run('check -', [error], text)
    expect(requests[0].text).toBe(text)
    expect(output).toContain('ERROR gouge  standard input:3:5')
  })
})

describe('what is left out', () => {
  test('is counted, and never what kept the rules asked for from running', async () => {
    const { output } = await run('check a.nc --only gouge', [note, noMesh])
    expect(output).toContain('WARNING not-checked')
    expect(output).toContain('Left out by --only: 1 × short-block.')
  })
  test('a rule that needs no mesh does not bring the missing mesh with it', async () => {
    expect((await run('check a.nc --only missing-feed', [noMesh])).output).toContain('Left out by --only: 1 × not-checked.')
  })
  test('a finding over a run of blocks belongs to every block of the run', async () => {
    const long: Finding = { ...error, contact: contact({ depth: 1, firstLine: 1, lastLine: 3, worstLine: 3 }) }
    const { output, requests } = await run('check a.nc --blocks N10..N20', [long])
    expect(output).toContain('ERROR gouge')
    expect(requests[0].lines).toEqual({ first: 0, last: 1 })
  })
})

describe('--output', () => {
  test('writes the file whole, leaves nothing beside it and standard output empty', async () => {
    const { output, exitCode } = await run('check a.nc --output out.txt', [error])
    expect([output, exitCode]).toEqual(['', 1])
    expect(readFileSync(join(folder, 'out.txt'), 'utf8')).toContain('ERROR gouge')
    expect(readdirSync(folder).sort()).toEqual(['a.nc', 'out.txt'])
  })
  test('follows a link instead of replacing it', async () => {
    writeFileSync(join(folder, 'real.txt'), 'old')
    symlinkSync('real.txt', join(folder, 'out.txt'))
    await run('check a.nc --output out.txt', [])
    expect(lstatSync(join(folder, 'out.txt')).isSymbolicLink()).toBe(true)
    expect(readFileSync(join(folder, 'real.txt'), 'utf8')).toContain('Checked: a.nc')
  })
  test('to a device writes to it and leaves it a device', async () => {
    expect((await run('check a.nc --output /dev/null', [])).exitCode).toBe(0)
    expect(lstatSync('/dev/null').isCharacterDevice()).toBe(true)
  })
  test.each([
    ['--output nowhere/out.txt', 'the folder nowhere is not there'],
    ['--output a.nc', 'would be written over'],
    ['--output .', 'is a folder'],
    ['--setup s.json --output s.json', 'would be written over'],
  ])('%s is refused before the check begins', async (options, words) => {
    writeFileSync(join(folder, 's.json'), '{}')
    const { exitCode, errors, requests } = await run(`check a.nc ${options}`, [])
    expect(exitCode).toBe(2)
    expect(errors).toContain(words)
    expect(requests).toEqual([])
    expect(readFileSync(join(folder, 'a.nc'), 'utf8')).toBe(text)
  })
  test('in SARIF is the same as on standard output', async () => {
    const { output } = await run('check a.nc --format sarif', [error])
    await run('check a.nc --format sarif --output out.sarif', [error])
    expect(readFileSync(join(folder, 'out.sarif'), 'utf8')).toBe(output)
    expect(existsSync(join(folder, 'out.sarif'))).toBe(true)
  })
})

test('the setup named in the call is found from the working folder', async () => {
  expect((await run('check a.nc --setup s.json --threads 5', [])).requests[0]).toMatchObject({ setupPath: join(folder, 's.json'), threads: 5, epsilon: 0.002 })
})

test('the progress line waits a second, is drawn over itself and is wiped', () => {
  const terminal = paperTerminal({ isTerminal: true })
  let time = 0
  const line = startProgressLine(terminal.errors, () => time)
  const at = (milliseconds: number, share: number) => {
    time = milliseconds
    line.show({ doing: 'a.nc', share, blocks: share * 5000 })
  }
  at(900, 0.2)
  expect(terminal.written.errors).toBe('')
  at(2000, 0.5)
  at(2050, 0.6)
  line.clear()
  line.clear()
  expect(terminal.written.errors).toBe('\r\u001b[Ka.nc: 50 %, 1,250 blocks/s\r\u001b[K')
})

describe('explain', () => {
  test('without a name lists every rule with its level', async () => {
    const terminal = paperTerminal()
    expect(await runExplain(undefined, terminal, rules)).toBe(0)
    for (const rule of rules) expect(terminal.written.output).toMatch(new RegExp(`^ {2}${rule.id} +${rule.level} +Finds`, 'm'))
  })
  test('prints the page of a rule', async () => {
    const terminal = paperTerminal()
    expect(await runExplain('gouge', terminal, rules)).toBe(0)
    expect(terminal.written.output).toBe('# gouge\n\nFinds gouge.\n')
  })
  test.each([['gauge', 'The nearest is "gouge".'], ['polka', '"toolwake explain" lists the rules.']])('%s is not known', async (name, hint) => {
    const terminal = paperTerminal()
    expect(await runExplain(name, terminal, rules)).toBe(2)
    expect(terminal.written).toEqual({ output: '', errors: `toolwake: There is no rule "${name}". ${hint}\n` })
  })
})
