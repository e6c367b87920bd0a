import { describe, expect, test } from 'vitest'
import type { CheckOptions } from '../../server/cli/arguments.ts'
import { readArguments } from '../../server/cli/arguments.ts'
import { commandNames } from '../../server/cli/help-text.ts'

const commandList = `${commandNames.slice(0, -1).join(', ')} and ${commandNames.at(-1)}.`

describe('calls that can be carried out', () => {
  const defaults: CheckOptions = { programs: ['a.nc'], setupFor: new Map(), format: 'text', failOn: 'error', only: [], cache: true, progress: true }
  const cases: readonly [string, Partial<CheckOptions>][] = [
    ['check a.nc', {}],
    ['check a.nc b.nc -', { programs: ['a.nc', 'b.nc', '-'] }],
    ['check a.nc --setup s.json --format sarif --output out.sarif', { setup: 's.json', format: 'sarif', output: 'out.sarif' }],
    ['check --format=sarif a.nc', { format: 'sarif' }],
    ['check --fail-on note a.nc', { failOn: 'note' }],
    ['check a.nc --only gouge,missing-feed --only gouge', { only: ['gouge', 'missing-feed'] }],
    ['check a.nc --threads 3 --no-progress', { threads: 3, progress: false }],
    ['check a.nc --blocks N100..N400', { blocks: { from: { by: 'sequence', number: 100 }, to: { by: 'sequence', number: 400 } } }],
    ['check a.nc --blocks 7..', { blocks: { from: { by: 'line', number: 7 }, to: undefined } }],
    ['check a.nc --blocks ..n9', { blocks: { from: undefined, to: { by: 'sequence', number: 9 } } }],
    ['check a.nc --baseline b.sarif --changed-since HEAD~2 --shard 2/8', { baseline: 'b.sarif', changedSince: 'HEAD~2', shard: { number: 2, of: 8 } }],
    ['check a.nc --write-baseline b.sarif', { writeBaseline: 'b.sarif' }],
    ['check a.nc b=1.nc --setup-for a.nc=s.json --setup-for b=1.nc=t.json', { programs: ['a.nc', 'b=1.nc'], setupFor: new Map([['a.nc', 's.json'], ['b=1.nc', 't.json']]) }],
    ['check -- --odd.nc', { programs: ['--odd.nc'] }],
  ]
  test.each(cases)('%s', (call, differences) => {
    expect(readArguments(call.split(' '))).toEqual({ kind: 'check', options: { ...defaults, ...differences } })
  })

  test('explain, serve, help and version', () => {
    expect(readArguments(['explain'])).toEqual({ kind: 'explain', rule: undefined })
    expect(readArguments(['explain', 'gouge'])).toEqual({ kind: 'explain', rule: 'gouge' })
    expect(readArguments(['serve', '--stdio'])).toEqual({ kind: 'serve' })
    expect(readArguments(['new-setup', 'a.nc'])).toEqual({ kind: 'new-setup', options: { program: 'a.nc', output: undefined, force: false, blank: false } })
    expect(readArguments(['new-setup', 'a.nc', '--force', '--output', '-'])).toEqual({ kind: 'new-setup', options: { program: 'a.nc', output: '-', force: true, blank: false } })
    expect(readArguments([])).toEqual({ kind: 'help' })
    expect(readArguments(['--help'])).toEqual({ kind: 'help' })
    expect(readArguments(['check', '--help'])).toEqual({ kind: 'help', command: 'check' })
    expect(readArguments(['--version'])).toEqual({ kind: 'version' })
  })
})

describe('calls that cannot be carried out say what stands in the way', () => {
  const cases: readonly [string, string][] = [
    ['chek a.nc', 'There is no command "chek"; did you mean "check"? The commands are ' + commandList],
    ['polish a.nc', 'There is no command "polish". The commands are ' + commandList],
    ['--setup s.json check a.nc', 'An option cannot stand before the command; "--setup" was given. The commands are ' + commandList],
    ['check', 'No program is named. Write: toolwake check PROGRAM'],
    ['check a.nc a.nc', '"a.nc" is named more than once.'],
    ['check a.nc --formt sarif', '"check" has no option --formt. Did you mean --format?'],
    ['check a.nc -q', '"check" has no option -q. "toolwake check --help" lists what there is.'],
    ['check a.nc --format yaml', '--format can be text or sarif; "yaml" was given.'],
    ['check a.nc --setup', '--setup needs FILE after it.'],
    ['check a.nc --setup --format sarif', '--setup needs FILE after it.'],
    ['check a.nc --setup a --setup b', '--setup is given more than once.'],
    ['check a.nc --setup-for s.json', '--setup-for is written PROGRAM=SHEET, as in op20/trial.nc=op20/op20.setup.json; "s.json" was given.'],
    ['check a.nc --setup-for a.nc=s --setup-for a.nc=t', '--setup-for names "a.nc" more than once.'],
    ['check a.nc --fail-on fatal', '--fail-on can be error, warning or note; "fatal" was given.'],
    ['check a.nc --only ,', '--only needs RULE,... after it.'],
    ['check a.nc --threads two', '--threads can be a whole number from 1 to 256; "two" was given.'],
    ['check a.nc --threads 0', '--threads can be a whole number from 1 to 256; "0" was given.'],
    ['check a.nc --no-progress=yes', '--no-progress takes no value; "yes" was given.'],
    ['check a.nc --shard 0/4', '--shard is written I/N, as in 2/8 for the second of eight shares; "0/4" was given.'],
    ['check a.nc --shard 5/4', '--shard is written I/N, as in 2/8 for the second of eight shares; "5/4" was given.'],
    ['check a.nc --write-baseline b --only gouge', '--write-baseline writes down all findings; --only and --blocks leave some out.'],
    ['check a.nc --baseline b --blocks 1..2', '--baseline needs the whole program; --blocks looks at a part of it.'],
    ['compare a.nc', 'Two programs are compared, the old one first. Write: toolwake compare OLD NEW'],
    ['merge', 'No SARIF file is named. Write: toolwake merge SARIF...'],
    ['check a.nc --blocks 9..3', '--blocks 9..3 ends before it begins.'],
    ...['..', '100', '1-9', '0..5', 'N..5', 'a..b'].map((range): [string, string] => [
      `check a.nc --blocks ${range}`,
      `--blocks is written FROM..TO, as in N100..N400 (sequence numbers) or 100..400 (lines of the file); "${range}" was given.`,
    ]),
    ['explain gouge leftover', '"explain" takes one rule at a time.'],
    ['new-setup', 'No program is named. Write: toolwake new-setup PROGRAM'],
    ['new-setup a.nc b.nc', '"new-setup" takes one program; further ones can be added to "programs" in its sheet.'],
    ['new-setup -', '"new-setup" needs the program as a file, since its sheet names that file.'],
    ['serve', '"serve" needs --stdio: standard input and output are the only way it talks.'],
    ['serve --stdio a.nc', '"serve" takes no file; "a.nc" was given.'],
  ]
  test.each(cases)('%s', (call, message) => {
    expect(readArguments(call.split(' '))).toEqual({ kind: 'unusable', message })
  })
})
