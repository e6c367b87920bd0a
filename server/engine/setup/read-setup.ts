import type { Problem } from '../../../shared/problem.ts'
import type { Barrier, Fixture, Setup, Tool, ToolSetAside } from '../../../shared/setup.ts'
import { NO_TOOL } from '../../../shared/toolpath.ts'
import { Fields, SheetNotes } from './fields.ts'
import { parseJson } from './json-tree.ts'
import { axisLetters, isRotaryLetter, linearLetters, sheetKeys } from './keys.ts'
import { defaultLimits, mergeLimits, readLimits, readPass } from './read-limits.ts'
import { readPlacement, unitLength, units } from './read-placement.ts'
import { readStock } from './read-stock.ts'
import { readTool } from './read-tool.ts'
import { resolveBeside } from './resolve-path.ts'

/**
 * The setup sheet, checked and complete, in mm and radians, with every fault found on the way.
 * Without a setup there is no JSON object to start from; with faults, it holds what could be used.
 */
export function readSetup(file: { readonly path: string, readonly text: string }): { setup?: Setup, problems: Problem[] } {
  const notes = new SheetNotes(file.path)
  const { root, fault } = parseJson(file.text)
  if (fault !== undefined) notes.say(fault.span, fault.message)
  if (root === undefined) return { problems: notes.problems }
  if (root.kind !== 'object') {
    notes.say(root.span, 'A setup sheet is one object in braces { }, with "part", "offsets", "tools" and so on.')
    return { problems: notes.problems }
  }
  const sheet = new Fields(notes, root, 'the setup sheet', '', sheetKeys.sheet)
  notes.unit = unitLength(sheet.choice('units', units) ?? 'mm')
  sheet.text('$schema')
  const machine = sheet.text('machine')
  const offsets = readOffsets(sheet)
  const part = sheet.object('part', 'the part', sheetKeys.part)
  const { tools, toolsSetAside } = readTools(sheet)
  const barriers = readBarriers(sheet)
  const toolNumbers = [...tools, ...toolsSetAside].map(tool => tool.number)
  const barrierNames = barriers.map(barrier => barrier.name)
  const setup: Setup = {
    path: file.path,
    unit: notes.unit,
    programs: sheet.texts('programs', 'file names of programs, * for any') ?? [],
    machinePath: machine === undefined ? undefined : resolveBeside(file.path, machine),
    baseOffset: readBaseOffset(sheet, offsets),
    offsets,
    part: part === undefined ? undefined : readPlacement(part),
    stock: readStock(sheet),
    fixtures: readFixtures(sheet),
    barriers,
    limits: mergeLimits(defaultLimits, readLimits(sheet, 'limits')),
    passes: sheet.objects('passes', i => `pass ${i + 1}`, sheetKeys.pass).map(pass => readPass(pass, toolNumbers, barrierNames)),
    tools,
    toolsSetAside,
    spans: notes.spans,
  }
  if (!sheet.has('part')) notes.say(sheet.opening, 'The sheet names no part, so no contact is searched; write "part": { "mesh": "part.stl" }.', { rule: 'not-checked', level: 'warning' })
  return { setup, problems: notes.problems }
}

type Offsets = Record<string, Record<string, number>>

const offsetCode = /^(G5[4-9]|G59\.[1-9]|G54\.1 P\d{1,3})$/

function readOffsets(sheet: Fields): Offsets {
  const offsets: Offsets = {}
  const all = sheet.object('offsets', '"offsets"', undefined, { need: 'where the program zero lies in machine coordinates: "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150 } }' })
  for (const code of all?.keys ?? []) {
    if (all === undefined) break
    if (!offsetCode.test(code)) {
      sheet.notes.say(all.keySpanOf(code), `"${code}" is not a work offset; write "G54" to "G59", "G59.1" or "G54.1 P1".`)
      continue
    }
    const fields = all.object(code, code, axisLetters)
    if (fields === undefined) continue
    const values: Record<string, number> = {}
    for (const letter of axisLetters) {
      const value = isRotaryLetter(letter) ? fields.angle(letter) : fields.length(letter)
      if (value !== undefined) values[letter] = value
    }
    for (const letter of linearLetters.slice(0, 3)) {
      if (!fields.has(letter)) fields.sayMissing(letter, `"${letter}", where its zero lies on the machine's ${letter} axis (rotary axes left out stand at 0)`)
    }
    if (!fields.hasFault) offsets[code] = values
  }
  return offsets
}

function readBaseOffset(sheet: Fields, offsets: Offsets): string {
  const base = sheet.text('baseOffset') ?? 'G54'
  // An offset that is written but at fault has had its problem already.
  if (sheet.has('offsets') && sheet.notes.spans[`offsets.${base}`] === undefined) {
    const given = Object.keys(offsets)
    sheet.notes.say(sheet.spanOf(sheet.has('baseOffset') ? 'baseOffset' : 'offsets'), `The part's frame hangs on ${base}, which "offsets" does not give${given.length === 0 ? '' : `; it gives ${given.join(', ')}`}. Give ${base}, or name another in "baseOffset".`)
  }
  return base
}

/** A motion keeps its tool in one byte; its last value means "none". */
const MOST_TOOLS = NO_TOOL - 1

function readTools(sheet: Fields): { tools: Tool[], toolsSetAside: ToolSetAside[] } {
  const tools: Tool[] = [], toolsSetAside: ToolSetAside[] = []
  const taken = new Set<number>()
  const entries = sheet.objects('tools', i => toolName(sheet, i), sheetKeys.tool)
  for (const fields of entries) {
    const read = readTool(fields)
    if (read === undefined) continue
    const { number } = read.tool
    if (taken.has(number)) sheet.notes.say(fields.spanOf('number'), `Tool ${number} stands twice in the sheet; keep one, or give the other its own number.`)
    else if (read.kind === 'set-aside') toolsSetAside.push(read.tool)
    else if (tools.length < MOST_TOOLS) tools.push(read.tool)
    else toolsSetAside.push({ number, name: read.tool.name, lengthOffset: read.tool.lengthOffset, span: read.tool.span })
    taken.add(number)
  }
  if (tools.length === MOST_TOOLS && entries.length > MOST_TOOLS) {
    sheet.notes.say(sheet.keySpanOf('tools'), `The sheet gives ${entries.length} tools; only the first ${MOST_TOOLS} are used. Leave out those the programs do not call.`)
  }
  return { tools, toolsSetAside }
}

/** A tool is called by its number in messages, by its place where it has none. */
function toolName(sheet: Fields, index: number): string {
  const list = sheet.value('tools')
  const entry = list?.kind === 'array' ? list.items[index] : undefined
  const number = entry?.kind === 'object' ? entry.members.find(member => member.key === 'number')?.value : undefined
  return number?.kind === 'number' ? `tool ${number.value}` : `entry ${index + 1} of "tools"`
}

/** mm; what a fixture keeps free where the sheet does not say. Common practice. */
const FIXTURE_CLEARANCE = 2

function readFixtures(sheet: Fields): Fixture[] {
  return sheet.objects('fixtures', i => `fixture ${i + 1}`, sheetKeys.fixture).flatMap(fields => {
    const name = fields.text('name', { need: 'what it is called in findings, for example "name": "vice jaw"' })
    const mesh = readPlacement(fields)
    const clearance = fields.length('clearance', { min: 0 }) ?? FIXTURE_CLEARANCE
    return name === undefined || mesh === undefined ? [] : [{ name, mesh, clearance, clearanceSpan: fields.has('clearance') ? fields.spanOf('clearance') : undefined }]
  })
}

function readBarriers(sheet: Fields): Barrier[] {
  const taken = new Set<string>()
  return sheet.objects('barriers', i => `barrier ${i + 1}`, sheetKeys.barrier).flatMap(fields => {
    const name = fields.text('name', { need: 'the name a pass calls it by, for example "name": "floor"' })
    const mesh = readPlacement(fields)
    if (name === undefined || mesh === undefined) return []
    if (taken.has(name)) sheet.notes.say(fields.spanOf('name'), `Two barriers are called "${name}"; give one another name.`)
    taken.add(name)
    return [{ name, mesh }]
  })
}

