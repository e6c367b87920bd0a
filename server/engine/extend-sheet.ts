import type { Edit } from '../../shared/finding.ts'
import type { ModalState } from './machine/modal-state.ts'
import { surveyProgram } from './draft-setup.ts'
import { offsetLine, toolLinesOf } from './features/setup-draft.ts'
import { additionTo, type Container } from './features/sheet-additions.ts'
import type { ReadOptions, TextFile } from './read-program.ts'
import { parseJson, type JsonNode, type JsonObject } from './setup/json-tree.ts'

/** An entry that the setup sheet lacks, started as a new sheet would start it. */
export interface SheetAddition {
  /** What is written, as an order. */
  readonly title: string
  /** Of the sheet's text, in its order. */
  readonly edits: readonly Edit[]
}

/**
 * Adds to a setup sheet what a program calls and the sheet lacks: the tool or the work offset that is in force behind the block
 * of the finding, with every value that only people know left as null. Undefined where the rule is another, the sheet
 * cannot be read, it has the entry already (with values still missing, say), or the program's own text does not show it.
 */
export function sheetAddition(
  rule: string, { tool, workOffset }: Pick<ModalState, 'tool' | 'workOffset'>, program: TextFile, sheet: string, options: Pick<ReadOptions, 'programs'> = {},
): SheetAddition | undefined {
  const { root } = parseJson(sheet)
  if (root?.kind !== 'object') return undefined
  if (rule === 'tool-not-in-setup' && tool !== undefined) return toolAddition(tool, program, sheet, root, options)
  if (rule === 'unset-work-offset' && workOffset !== undefined) return offsetAddition(workOffset, program, sheet, root, options)
  return undefined
}

function toolAddition(number: number, program: TextFile, sheet: string, root: JsonObject, options: Pick<ReadOptions, 'programs'>): SheetAddition | undefined {
  const tools = memberOf(root, 'tools')
  if (tools?.kind === 'array' && tools.items.some(item => item.kind === 'object' && numberIn(item) === number)) return undefined
  const use = surveyProgram(program, options).tools.find(one => one.number === number)
  if (use === undefined) return undefined
  const units = memberOf(root, 'units')
  // The draft stands two steps deep in a sheet of its own.
  const lines = [...toolLinesOf(use, units?.kind === 'string' && units.value === 'inch' ? 'inch' : 'mm'), '    }'].map(line => line.slice(4))
  const title = `Add tool ${number} to the setup sheet, to be filled in`
  if (tools === undefined) return { title, edits: additionTo(sheet, containerOf(root), ['"tools": [', ...lines.map(deeper), ']']) }
  return tools.kind === 'array' ? { title, edits: additionTo(sheet, containerOf(tools), lines) } : undefined
}

function offsetAddition(name: string, program: TextFile, sheet: string, root: JsonObject, options: Pick<ReadOptions, 'programs'>): SheetAddition | undefined {
  const offsets = memberOf(root, 'offsets')
  if (offsets?.kind === 'object' && memberOf(offsets, name) !== undefined) return undefined
  const lines = [
    `// FILL IN: where the zero of ${name} lies, in machine coordinates, as read off the machine (rotary axes in degrees).`,
    offsetLine(name, lettersOf(offsets) ?? ['X', 'Y', 'Z', ...surveyProgram(program, options).rotary]),
  ]
  const title = `Add ${name} to the offsets of the setup sheet, to be filled in`
  if (offsets === undefined) return { title, edits: additionTo(sheet, containerOf(root), ['"offsets": {', ...lines.map(deeper), '}']) }
  return offsets.kind === 'object' ? { title, edits: additionTo(sheet, containerOf(offsets), lines) } : undefined
}

/** The axes that the sheet gives for the first of its offsets. */
function lettersOf(offsets: JsonNode | undefined): string[] | undefined {
  const first = offsets?.kind === 'object' ? offsets.members[0]?.value : undefined
  return first?.kind === 'object' && first.members.length > 0 ? first.members.map(({ key }) => key) : undefined
}

export function memberOf(object: JsonObject, key: string): JsonNode | undefined {
  return object.members.find(member => member.key === key)?.value
}

function numberIn(tool: JsonObject): number | undefined {
  const number = memberOf(tool, 'number')
  return number?.kind === 'number' ? number.value : undefined
}

export function containerOf(node: Extract<JsonNode, { kind: 'object' | 'array' }>): Container {
  const close = node.span.end - 1
  if (node.kind === 'array') return { close, last: node.items.at(-1)?.span }
  const member = node.members.at(-1)
  return { close, last: member === undefined ? undefined : { start: member.keySpan.start, end: member.value.span.end } }
}

function deeper(line: string): string {
  return `  ${line}`
}
