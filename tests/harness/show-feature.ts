import {
  callEndAt, callsFrom, callsTo, completionAt, definitionsAt, foldsOf, hintsOf, hoverAt, lensesOf, linksOf, outlineOf, referencesAt, renameableAt, renameAt, renumber,
  selectionsAt, signatureAt, tidyChanges, tokensOf, toolWords, viewProgram,
  type ContactView, type Definition, type OutlineNode, type Place, type ProgramView, type RenameAnswer, type TextChange,
} from '../../server/engine/editor-service.ts'
import { lineOf } from '../../server/engine/nc/line-index.ts'
import { openScene, readProgram } from '../../server/engine/service.ts'
import { inOne } from './in-one.ts'

// What the editor is answered, as text for fixtures. `|` in the program is the cursor. Contact is not searched here.

export interface FeatureInput {
  readonly program: string
  readonly setup: string | undefined
  readonly machine: string | undefined
}

interface Question {
  readonly view: ProgramView
  readonly line: number
  readonly column: number
  /** What stands behind the name of the result's block. */
  readonly label: string
  readonly sheet: string | undefined
}

const contact: ContactView = { figuresOf: () => undefined, notSearched: 'a fixture has no mesh' }
const findProgram = (number: number) => number >= 9000 ? `/job/o${number}.nc` : undefined

/** Result blocks by their name. */
export const features: Readonly<Record<string, (question: Question) => string>> = {
  hover: ({ view, line, column }) => hoverAt(view, contact, (view.lineStarts[line] ?? 0) + column, number => toolWords(view.setup, number, { pictures: false }))?.markdown ?? 'nothing',
  completion: ({ view, line, column, label }) => {
    const { place, offers, isPart } = completionAt(view, line, column)
    const shown = offers.filter(offer => label === '' || offer.label.startsWith(label))
    return [`replaces ${textAt(view, place)}`, ...shown.map(({ label, detail }) => `${label}: ${detail}`), ...isPart ? ['and more'] : []].join('\n')
  },
  signature: ({ view, line, column }) => {
    const found = signatureAt(view, line, column)
    return found === undefined ? 'nothing' : [found.label, found.says, ...found.words.map(({ letter, says }, at) => `${at === found.active ? '>' : ' '} ${letter} ${says}`)].join('\n')
  },
  symbols: ({ view }) => outlineOf(view).map(node => showNode(view, node, '')).join('\n'),
  folding: ({ view }) => foldsOf(view).map(({ first, last, kind }) => `lines ${first + 1} to ${last + 1}, ${kind}`).join('\n') || 'none',
  definition: ({ view, line, column }) => definitionsAt(view, line, column, findProgram)?.definitions.map(one => showDefinition(view, one)).join('\n') || 'none',
  references: ({ view, line, column }) => referencesAt(view, line, column).map(one => `${showPlace(view, one)}${one.isDefinition ? ', laid down here' : ''}`).join('\n') || 'none',
  rename: ({ view, line, column, label, sheet }) => renameableAt(view, line, column) === undefined ? 'nothing to rename' : showAnswer(view, renameAt(view, line, column, label, sheet), sheet),
  links: ({ view }) => linksOf(view, findProgram).map(link => `${showPlace(view, link)} leads to ${link.kind === 'file' ? link.path : `the page of ${link.rule}`}`).join('\n') || 'none',
  tokens: ({ view }) => tokensOf(view, 0, view.lineStarts.length).map(token => `${showPlace(view, token)} ${[token.type, ...token.modifiers].join(' ')}`).join('\n'),
  hints: ({ view, label }) => hintsOf(view, contact, 0, view.lineStarts.length - 2, { modes: label.includes('modes'), values: label.includes('values'), clearances: false })
    .map(({ line, column, label }) => `${line + 1}:${column + 1} ${label}`).join('\n') || 'none',
  lens: ({ view }) => lensesOf(view, contact, []).map(({ place, text }) => `line ${place.line + 1}: ${text}`).join('\n') || 'none',
  selection: ({ view, line, column }) => selectionsAt(view, line, column).map(({ line, from, lastLine, to }) => `${line + 1}:${from + 1} to ${lastLine + 1}:${to + 1}`).join('\n'),
  calls: ({ view, line, column }) => {
    const end = callEndAt(view, line, column, findProgram)
    const into = end.number === undefined ? [] : callsTo(view, end.number, findProgram)
    return [
      end.name,
      ...into.map(({ from, places }) => `called by ${from.name}: ${places.map(place => showPlace(view, place)).join('; ')}`),
      ...callsFrom(view, end.number, findProgram).map(({ to, places }) => `calls ${to.name}${to.path === undefined ? '' : ` in ${to.path}`}: ${places.map(place => showPlace(view, place)).join('; ')}`),
    ].join('\n')
  },
  tidied: ({ view }) => applyChanges(view, inOne(tidyChanges(view))),
  renumbered: ({ view, label, sheet }) => {
    const [start = '10', step = '10', every] = label.split(' ')
    return showAnswer(view, inOne(renumber(view, { start: Number(start), step: Number(step), every: every === 'every' }, sheet, [])), sheet)
  },
}

/** Reads the program of a fixture and asks. */
export function askFeature(name: string, label: string, { program, setup, machine }: FeatureInput): string {
  const cursor = program.indexOf('|'), text = program.replace('|', '')
  const scene = openScene(setup === undefined ? undefined : { path: '/job/job.setup.json', text: setup }, machine === undefined ? undefined : { path: '/job/job.machine.json', text: machine })
  const view = viewProgram(readProgram({ path: '/job/a.nc', text }, scene), scene)
  const line = lineOf(view.lineStarts, Math.max(0, cursor))
  const ask = features[name]
  if (ask === undefined) throw new Error(`There is no feature ${name}.`)
  return ask({ view, line, column: Math.max(0, cursor - (view.lineStarts[line] ?? 0)), label, sheet: setup })
}

/** The text after changes of single lines. */
export function applyChanges({ text, lineStarts }: Pick<ProgramView, 'text' | 'lineStarts'>, changes: readonly TextChange[]): string {
  let after = text
  for (const { line, from, to, text } of [...changes].sort((a, b) => b.line - a.line || b.from - a.from)) {
    const start = lineStarts[line] ?? 0
    after = after.slice(0, start + from) + text + after.slice(start + to)
  }
  return after
}

function showAnswer(view: ProgramView, answer: RenameAnswer, sheet: string | undefined): string {
  if (answer.kind === 'refused') return answer.because
  const after = applyChanges(view, answer.edits)
  if (answer.sheet.length === 0 || sheet === undefined) return after
  let changed = sheet
  for (const { span, text } of [...answer.sheet].reverse()) changed = changed.slice(0, span.start) + text + changed.slice(span.end)
  return `${after}\n${changed}`
}

function showDefinition(view: ProgramView, definition: Definition): string {
  if (definition.kind === 'place') return showPlace(view, definition.place)
  return definition.kind === 'file' ? definition.path : `${definition.path}, from offset ${definition.span.start}`
}

function showNode(view: ProgramView, { kind, name, detail, first, last, children }: OutlineNode, margin: string): string {
  return [`${margin}${kind} ${name}${detail === '' ? '' : ` (${detail})`}, lines ${first + 1} to ${last + 1}`, ...children.map(child => showNode(view, child, `${margin}  `))].join('\n')
}

function showPlace(view: ProgramView, place: Place): string {
  return `${place.line + 1}:${place.from + 1} ${textAt(view, place)}`
}

function textAt({ text, lineStarts }: ProgramView, { line, from, to }: Place): string {
  const start = lineStarts[line] ?? 0
  return `"${text.slice(start + from, start + to)}"`
}
