import { parseArgs } from 'node:util'
import { commonOptions, commonOptionWords, type CommonOptions, type ReadOptions } from './common-options.ts'
import type { CommandName } from './help-text.ts'
import { commandNames } from './help-text.ts'
import { nearestName } from './nearest-name.ts'

/** One end of `--blocks`: a line of the file, counted from 1, or a sequence number. */
export interface BlockMark {
  readonly by: 'line' | 'sequence'
  readonly number: number
}

export interface BlockRange {
  readonly from?: BlockMark
  readonly to?: BlockMark
}

export interface CheckOptions extends CommonOptions {
  /** As written; `-` stands for standard input. */
  readonly programs: readonly string[]
  /** Sheets of single programs, both as written. */
  readonly setupFor: ReadonlyMap<string, string>
  /** Rule ids; empty: all. */
  readonly only: readonly string[]
  readonly blocks?: BlockRange
  /** What would mend a finding is worked out and stands in the SARIF output. */
  readonly fixes?: true
  /** A SARIF file of findings that are known: only others fail. */
  readonly baseline?: string
  /** Where the findings are written down as known. */
  readonly writeBaseline?: string
  /** A revision of git: programs that nothing has touched since are left out. */
  readonly changedSince?: string
  /** This share of the programs, counted from 1. */
  readonly shard?: { readonly number: number, readonly of: number }
}

export interface CompareOptions extends CommonOptions {
  /** As written. */
  readonly old: string
  readonly new: string
}

export interface MergeOptions extends Pick<CommonOptions, 'output' | 'failOn'> {
  /** SARIF files, as written. */
  readonly files: readonly string[]
}

export interface MendOptions extends CommonOptions {
  /** As written; `-` stands for standard input. */
  readonly program: string
  /** As written; `-` stands for standard output. */
  readonly output: string
  /** Where the sheet is written with the stick-outs that were found. */
  readonly setupOutput?: string
}

export interface ReportOptions extends Omit<CommonOptions, 'format'> {
  /** As written; `-` stands for standard input. */
  readonly program: string
  /** As written; `-` stands for standard output. */
  readonly output: string
}

export interface ProveMachineOptions {
  /** The machine file, as written. */
  readonly machine: string
  /** Joint values of program zero in words; absent: every axis at 0. */
  readonly at?: string
  /** Gauge point to tool point, mm. */
  readonly length: number
  /** Joint values in words, each of the same place touched. */
  readonly touches: readonly string[]
  /** mm. How far the touches may lie apart. */
  readonly within: number
}

export interface NewSetupOptions {
  /** As written. */
  readonly program: string
  /** `-` stands for standard output; absent: beside the program, with its base name. */
  readonly output?: string
  /** Whether a sheet that is there may be written over. */
  readonly force: boolean
  /** Asks nothing: every value that only people know is left to be filled in. */
  readonly blank: boolean
}

export type Call =
  | { readonly kind: 'check', readonly options: CheckOptions }
  | { readonly kind: 'mend', readonly options: MendOptions }
  | { readonly kind: 'compare', readonly options: CompareOptions }
  | { readonly kind: 'report', readonly options: ReportOptions }
  | { readonly kind: 'merge', readonly options: MergeOptions }
  | { readonly kind: 'explain', readonly rule?: string }
  | { readonly kind: 'new-setup', readonly options: NewSetupOptions }
  | { readonly kind: 'prove-machine', readonly options: ProveMachineOptions }
  | { readonly kind: 'serve' }
  | { readonly kind: 'clear-cache' }
  | { readonly kind: 'help', readonly command?: CommandName }
  | { readonly kind: 'version' }
  /** The call cannot be carried out; the message says what stands in the way. */
  | { readonly kind: 'unusable', readonly message: string }

/** The options of each command: what follows them, or nothing for a plain switch. */
const optionsOf: Readonly<Record<CommandName, Readonly<Record<string, string | undefined>>>> = {
  check: {
    ...commonOptionWords, 'setup-for': 'PROGRAM=SHEET', 'only': 'RULE,...', 'blocks': 'FROM..TO', 'fixes': undefined, 'baseline': 'FILE', 'write-baseline': 'FILE', 'changed-since': 'a revision', 'shard': 'I/N',
  },
  compare: commonOptionWords,
  mend: { ...commonOptionWords, 'setup-output': 'FILE' },
  report: Object.fromEntries(Object.entries(commonOptionWords).filter(([name]) => name !== 'format')),
  merge: { 'output': commonOptionWords['output'], 'fail-on': commonOptionWords['fail-on'] },
  explain: {},
  'new-setup': { output: 'FILE', force: undefined, blank: undefined },
  'prove-machine': { at: 'axis values', length: 'a number of mm', touch: 'axis values', within: 'a number of mm' },
  serve: { stdio: undefined },
  'clear-cache': {},
}

export function readArguments(args: readonly string[]): Call {
  const first = args[0]
  if (first === undefined || first === '--help' || first === '-h' || first === 'help') return { kind: 'help' }
  if (first === '--version' || first === '-v') return { kind: 'version' }
  const command = commandNames.find(name => name === first)
  if (command === undefined) return unusable(noSuchCommand(first))
  const rest = args.slice(1)
  if (rest.includes('--help') || rest.includes('-h')) return { kind: 'help', command }
  const read = readOptions(command, rest)
  if (typeof read === 'string') return unusable(read)
  switch (command) {
    case 'check': return checkCall(read)
    case 'mend': return mendCall(read)
    case 'report': return reportCall(read)
    case 'merge': return mergeCall(read)
    case 'compare': return compareCall(read)
    case 'explain':
      if (read.positionals.length > 1) return unusable('"explain" takes one rule at a time.')
      return { kind: 'explain', rule: read.positionals[0] }
    case 'new-setup': return newSetupCall(read)
    case 'prove-machine': return proveMachineCall(read)
    case 'serve':
      if (read.positionals.length > 0) return unusable(`"serve" takes no file; "${read.positionals[0]}" was given.`)
      if (!read.values.has('stdio')) return unusable('"serve" needs --stdio: standard input and output are the only way it talks.')
      return { kind: 'serve' }
    case 'clear-cache':
      if (read.positionals.length > 0) return unusable(`"clear-cache" takes no file; "${read.positionals[0]}" was given.`)
      return { kind: 'clear-cache' }
    default: return command satisfies never
  }
}

/** Options that may be given several times. */
const repeatable: ReadonlySet<string> = new Set(['only', 'setup-for', 'touch'])

/** Sorts arguments into files and options; a sentence where an option is not known or lacks its value. */
function readOptions(command: CommandName, args: readonly string[]): ReadOptions | string {
  const known = optionsOf[command]
  const { tokens } = parseArgs({
    args: [...args],
    options: Object.fromEntries(Object.entries(known).map(([name, value]) => [name, { type: value === undefined ? 'boolean' : 'string' }])),
    strict: false,
    allowPositionals: true,
    tokens: true,
  })
  const positionals: string[] = []
  const values = new Map<string, string[]>()
  for (const token of tokens) {
    if (token.kind === 'positional') positionals.push(token.value)
    if (token.kind !== 'option') continue
    if (!(token.name in known)) return noSuchOption(command, token.rawName, Object.keys(known))
    const wants = known[token.name]
    if (wants === undefined && token.value !== undefined) return `--${token.name} takes no value; "${token.value}" was given.`
    const missing = token.value === undefined || token.value === '' || (!token.inlineValue && token.value.startsWith('--'))
    if (wants !== undefined && missing) return `--${token.name} needs ${wants} after it.`
    if (values.has(token.name) && wants !== undefined && !repeatable.has(token.name)) return `--${token.name} is given more than once.`
    values.set(token.name, [...values.get(token.name) ?? [], token.value ?? ''])
  }
  return { positionals, values }
}

function checkCall(read: ReadOptions): Call {
  const { positionals } = read
  if (positionals.length === 0) return unusable('No program is named. Write: toolwake check PROGRAM')
  const twice = positionals.find((program, i) => positionals.indexOf(program) !== i)
  if (twice !== undefined) return unusable(`"${twice}" is named more than once.`)

  const common = commonOptions(read)
  if (typeof common === 'string') return unusable(common)
  const only = (read.values.get('only') ?? []).flatMap(list => list.split(',')).map(rule => rule.trim()).filter(rule => rule !== '')
  if (read.values.has('only') && only.length === 0) return unusable('--only needs RULE,... after it.')
  const blocksWord = read.values.get('blocks')?.[0]
  const blocks = blocksWord === undefined ? undefined : readBlockRange(blocksWord)
  if (typeof blocks === 'string') return unusable(blocks)
  const setupFor = readSheets(read.values.get('setup-for') ?? [])
  if (typeof setupFor === 'string') return unusable(setupFor)
  const one = (name: string) => read.values.get(name)?.[0]
  const shardWord = one('shard'), shard = shardWord === undefined ? undefined : readShard(shardWord)
  if (typeof shard === 'string') return unusable(shard)
  const baseline = one('baseline'), writeBaseline = one('write-baseline'), isPart = only.length > 0 || blocks !== undefined
  if (writeBaseline !== undefined && isPart) return unusable('--write-baseline writes down all findings; --only and --blocks leave some out.')
  if (baseline !== undefined && blocks !== undefined) return unusable('--baseline needs the whole program; --blocks looks at a part of it.')
  const fixes = read.values.has('fixes')
  if (fixes && common.format !== 'sarif') return unusable('--fixes needs --format sarif, which has a place for them; "toolwake mend" writes the mended program.')
  if (fixes && blocks !== undefined) return unusable('--fixes needs the whole program searched: leave out --blocks.')
  return { kind: 'check', options: { ...common, programs: positionals, setupFor, only: [...new Set(only)], blocks, baseline, writeBaseline, changedSince: one('changed-since'), shard, ...fixes ? { fixes } : {} } }
}

/** The sheet's name is what follows the last "=": a program's path may hold one too. */
function readSheets(words: readonly string[]): Map<string, string> | string {
  const sheets = new Map<string, string>()
  for (const word of words) {
    const at = word.lastIndexOf('='), program = word.slice(0, Math.max(0, at)), sheet = word.slice(at + 1)
    if (program === '' || sheet === '') return `--setup-for is written PROGRAM=SHEET, as in op20/trial.nc=op20/op20.setup.json; "${word}" was given.`
    if (sheets.has(program)) return `--setup-for names "${program}" more than once.`
    sheets.set(program, sheet)
  }
  return sheets
}

/** The largest number of shards; beyond it a typing slip is likelier. */
const MOST_SHARDS = 100_000

function readShard(written: string): { number: number, of: number } | string {
  const match = /^(\d{1,6})\/(\d{1,6})$/.exec(written), number = Number(match?.[1]), of = Number(match?.[2])
  if (match !== null && number >= 1 && number <= of && of <= MOST_SHARDS) return { number, of }
  return `--shard is written I/N, as in 2/8 for the second of eight shares; "${written}" was given.`
}

function compareCall(read: ReadOptions): Call {
  const [old, now, ...more] = read.positionals
  if (old === undefined || now === undefined || more.length > 0) return unusable('Two programs are compared, the old one first. Write: toolwake compare OLD NEW')
  if (old === '-' && now === '-') return unusable('Only one of the two programs can come from standard input.')
  const common = commonOptions(read)
  return typeof common === 'string' ? unusable(common) : { kind: 'compare', options: { ...common, old, new: now } }
}

function mendCall(read: ReadOptions): Call {
  const one = oneWritten('mend', 'where the mended program is to be written', read)
  return typeof one === 'string' ? unusable(one) : { kind: 'mend', options: { ...one, setupOutput: read.values.get('setup-output')?.[0] } }
}

function reportCall(read: ReadOptions): Call {
  const one = oneWritten('report', 'where the release record is to be written, an HTML file', read)
  return typeof one === 'string' ? unusable(one) : { kind: 'report', options: one }
}

/** A call that makes one file from one program; a sentence where one of them is lacking. */
function oneWritten(command: CommandName, what: string, read: ReadOptions): (CommonOptions & Pick<MendOptions, 'program' | 'output'>) | string {
  const [program, ...more] = read.positionals, output = read.values.get('output')?.[0]
  if (program === undefined) return `No program is named. Write: toolwake ${command} PROGRAM --output FILE`
  if (more.length > 0) return `"${command}" takes one program at a time.`
  if (output === undefined) return `"${command}" needs --output FILE, ${what}.`
  const common = commonOptions(read)
  return typeof common === 'string' ? common : { ...common, program, output }
}

function mergeCall(read: ReadOptions): Call {
  if (read.positionals.length === 0) return unusable('No SARIF file is named. Write: toolwake merge SARIF...')
  const common = commonOptions(read)
  if (typeof common === 'string') return unusable(common)
  return { kind: 'merge', options: { files: [...new Set(read.positionals)], output: common.output, failOn: common.failOn } }
}

/** mm. How well a place can usually be touched off. */
const TOUCHED = 0.02

function proveMachineCall({ positionals, values }: ReadOptions): Call {
  const [machine, ...more] = positionals
  if (machine === undefined || more.length > 0) return unusable('"prove-machine" takes one machine file. Write: toolwake prove-machine FILE.machine.json')
  const numbers = { length: 0, within: TOUCHED }
  for (const name of ['length', 'within'] as const) {
    const written = values.get(name)?.[0]
    if (written !== undefined) numbers[name] = Number(written)
    if (!(numbers[name] >= 0 && numbers[name] < Infinity)) return unusable(`--${name} can be a number of mm from 0 on; "${written}" was given.`)
  }
  return { kind: 'prove-machine', options: { machine, at: values.get('at')?.[0], touches: values.get('touch') ?? [], ...numbers } }
}

function newSetupCall({ positionals, values }: ReadOptions): Call {
  const [program, ...more] = positionals
  if (program === undefined) return unusable('No program is named. Write: toolwake new-setup PROGRAM')
  if (more.length > 0) return unusable('"new-setup" takes one program; further ones can be added to "programs" in its sheet.')
  if (program === '-') return unusable('"new-setup" needs the program as a file, since its sheet names that file.')
  return { kind: 'new-setup', options: { program, output: values.get('output')?.[0], force: values.has('force'), blank: values.has('blank') } }
}

/** `N100..N400` sequence numbers, `100..400` lines; either end may be missing, not both. */
function readBlockRange(written: string): BlockRange | string {
  const match = /^(N?)(\d*)\.\.(N?)(\d*)$/i.exec(written)
  const from = mark(match?.[1], match?.[2])
  const to = mark(match?.[3], match?.[4])
  if (match === null || from === null || to === null || (from === undefined && to === undefined)) {
    return `--blocks is written FROM..TO, as in N100..N400 (sequence numbers) or 100..400 (lines of the file); "${written}" was given.`
  }
  if (from !== undefined && to !== undefined && from.by === 'line' && to.by === 'line' && from.number > to.number) {
    return `--blocks ${written} ends before it begins.`
  }
  return { from, to }
}

/** Undefined for an end left open, null for one that says nothing: an N without a number, or line 0. */
function mark(letter: string | undefined, digits: string | undefined): BlockMark | undefined | null {
  if (!digits) return letter ? null : undefined
  const number = Number(digits)
  return letter ? { by: 'sequence', number } : number < 1 ? null : { by: 'line', number }
}

function noSuchCommand(written: string): string {
  const near = nearestName(written, commandNames)
  const commands = `The commands are ${commandNames.slice(0, -1).join(', ')} and ${commandNames.at(-1)}.`
  if (written.startsWith('-')) return `An option cannot stand before the command; "${written}" was given. ${commands}`
  return `There is no command "${written}"${near === undefined ? '.' : `; did you mean "${near}"?`} ${commands}`
}

function noSuchOption(command: CommandName, rawName: string, known: readonly string[]): string {
  const near = nearestName(rawName.replace(/^-+/, ''), known)
  const hint = near === undefined ? `"toolwake ${command} --help" lists what there is.` : `Did you mean --${near}?`
  return `"${command}" has no option ${rawName}. ${hint}`
}

function unusable(message: string): Call {
  return { kind: 'unusable', message }
}
