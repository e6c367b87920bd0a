import { boundText } from '../../shared/bound-text.ts'
import type { ContactProperties, Finding, Level, Point, ResultProperties } from '../../shared/finding.ts'
import type { CheckedProgram, CheckReport } from './check-report.ts'
import { countsAgainst, linesOfFinding } from './check-report.ts'
import { areaWords, closingWords, count, length } from './closing-words.ts'
import { codeFrame, printable } from './code-frame.ts'
import { worstFirst } from './order-findings.ts'
import { summaryLines } from './summary.ts'
import { placeOf } from './text-lines.ts'

/** From this many findings of one rule on, the rest of them get one line each. */
const FULL_FINDINGS = 20

/** The findings for a reader: worst first, each with its line of code, then what was and was not checked. */
export function renderText(report: CheckReport, colour: boolean): string {
  const paint = paintFor(colour)
  const lines: string[] = []
  for (const program of report.programs) {
    lines.push(paint('strong', heading(program)), '')
    lines.push(...findingLines(report, program, paint))
  }
  const summary = summaryLines(report)
  if (summary.length > 0) lines.push(...summary.map(printable), '')
  lines.push(...closingWords(report).map(line => paint('faint', printable(line))))
  return lines.join('\n') + '\n'
}

/** Findings of a program, worst first. Where a baseline is given, those it does not know are written out and the rest named. */
export function findingLines(report: CheckReport, program: CheckedProgram, paint: Paint): string[] {
  const { baseline } = program
  const lines: string[] = []
  const shown = new Map<string, number>()
  const isFresh = (finding: Finding) => baseline === undefined || baseline.stateOf.get(finding) === 'new' || baseline.worse.has(finding)
  for (const finding of worstFirst(program.findings.filter(isFresh))) {
    const before = shown.get(finding.rule) ?? 0
    shown.set(finding.rule, before + 1)
    if (before < FULL_FINDINGS) lines.push(...fullFinding(report, program, finding, paint), '')
    else lines.push(headline(report, program, finding, paint), `  ${printable(finding.message)}`, '')
  }
  if (baseline === undefined) return lines
  const known = worstFirst(program.findings.filter(finding => !isFresh(finding)))
  lines.push(...known.map(finding => `known before: ${headline(report, program, finding, paint)}`))
  lines.push(...baseline.absent.map(({ rule, uri, region }) => `gone: ${rule}  ${printable(uri)}${region === undefined ? '' : `:${region.startLine}:${region.startColumn}`}`))
  return known.length + baseline.absent.length === 0 ? lines : [...lines, '']
}

function heading(program: CheckedProgram): string {
  const name = printable(program.name)
  const { findings } = program
  if (findings.length === 0 && program.leftOut.size > 0) return `${name}: nothing found of what was asked for; what was left out is said below`
  if (findings.length === 0) return `${name}: nothing found in what was checked; what that covers is said below`
  const open = findings.filter(finding => finding.waiver === undefined)
  const parts = (['error', 'warning', 'note'] as const).flatMap(level => {
    const of = open.filter(finding => finding.level === level).length
    return of === 0 ? [] : [count(of, level)]
  })
  const accepted = findings.length - open.length
  if (accepted > 0) parts.push(`${accepted} accepted in the program`)
  const undecided = open.filter(finding => finding.open === true).length
  const { baseline } = program
  const fresh = findings.filter(finding => countsAgainst(program, finding)).length
  const against = baseline === undefined ? '' : `; ${fresh} new or graver than in the baseline, ${baseline.absent.length} gone`
  return `${name}: ${parts.join(', ')}${undecided > 0 ? ` (${undecided} undecided)` : ''}${against}`
}

function fullFinding(report: CheckReport, program: CheckedProgram, finding: Finding, paint: Paint): string[] {
  const lines = [headline(report, program, finding, paint), `  ${printable(finding.message)}`]
  const text = linesOfFinding(report, program, finding)
  const frame = text === undefined || isWholeFile(finding) ? undefined : codeFrame(text, finding.span)
  if (frame !== undefined) lines.push(frame.code, paint(finding.level, frame.carets))
  if (finding.contact !== undefined) lines.push(...contactLines(finding.contact))
  if (finding.result !== undefined) lines.push(...resultLines(finding.result))
  if (finding.open === true) {
    lines.push(`  Undecided: the proven bounds do not settle it. It counts as ${finding.level === 'error' ? 'an' : 'a'} ${finding.level} until they do.`)
  }
  if (finding.waiver !== undefined) lines.push(`  Accepted in the program: ${printable(finding.waiver.reason)}`)
  for (const related of finding.related ?? []) {
    lines.push(`  See ${placeWords(report, program, related)}: ${printable(related.message)}`)
  }
  return lines
}

function headline(report: CheckReport, program: CheckedProgram, finding: Finding, paint: Paint): string {
  const level = finding.waiver === undefined ? finding.level.toUpperCase() : 'ACCEPTED'
  const state = program.baseline?.worse.has(finding) === true ? 'GRAVER ' : program.baseline?.stateOf.get(finding) === 'new' ? 'NEW ' : ''
  return `${paint(finding.level, `${state}${level}`)} ${paint('strong', finding.rule)}  ${placeWords(report, program, finding)}`
}

/** `inlet.nc:823:7`, the form terminals turn into a link. */
export function placeWords(report: Pick<CheckReport, 'textOf' | 'shownPath'>, program: CheckedProgram, at: Pick<Finding, 'file' | 'span'>): string {
  const name = printable(at.file === undefined || at.file === program.path ? program.name : report.shownPath(at.file))
  const lines = linesOfFinding(report, program, at)
  if (lines === undefined || lines.text.length === 0 || isWholeFile(at)) return name
  const { line, column } = placeOf(lines, at.span.start)
  return `${name}:${line}:${column}`
}

/** An empty span at the very start stands for the file as a whole: no line of it is to be shown. */
function isWholeFile({ span }: Pick<Finding, 'span'>): boolean {
  return span.start === 0 && span.end === 0
}

function contactLines(contact: ContactProperties): string[] {
  const figure = contact.depth !== undefined
    ? `${length(contact.depth)} mm deep`
    : contact.clearance !== undefined ? `${length(contact.clearance)} mm clear` : 'no figure'
  const run = contact.blocks === 1
    ? `line ${contact.worstLine}, one block`
    : `lines ${contact.firstLine} to ${contact.lastLine}, ${count(contact.blocks, 'block')}; worst in line ${contact.worstLine}`
  return [
    `  ${printable(contact.component)} against ${printable(contact.against)}: ${figure} ± ${boundText(contact.bound)}; limit ${length(contact.allowed)} mm`,
    `  ${contact.against === 'stock' ? 'in the stock' : 'on the mesh'} at ${point(contact.point)}; tool point ${point(contact.toolPoint)}, axis ${point(contact.toolAxis, 4)}`,
    `  ${run}`,
  ]
}

function resultLines({ point: at, height, bound, area, allowed }: ResultProperties): string[] {
  const stands = height === undefined ? 'height not known' : `${length(height)} mm high ± ${boundText(bound ?? 0)}`
  return [`  left on the part: ${stands}, over ${areaWords(area)}; limit ${length(allowed)} mm`, `  on the mesh at ${point(at)}`]
}

function point(p: Point, digits = 3): string {
  return `(${p.map(value => value.toFixed(digits)).join(' ')})`
}

type Tone = Level | 'strong' | 'faint'
export type Paint = (tone: Tone, text: string) => string

export function paintFor(colour: boolean): Paint {
  return colour ? inColour : plain
}

const plain: Paint = (_tone, text) => text

/** Select Graphic Rendition codes of ECMA-48 for each tone. */
const renditions: Readonly<Record<Tone, string>> = { error: '1;31', warning: '33', note: '36', strong: '1', faint: '2' }

const inColour: Paint = (tone, text) => `\u001b[${renditions[tone]}m${text}\u001b[0m`
