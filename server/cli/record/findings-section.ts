import { boundText } from '../../../shared/bound-text.ts'
import type { Finding } from '../../../shared/finding.ts'
import { escaped, pictureOfFinding, pictureOfProgram, type RecordScene } from '../../engine/service.ts'
import { linesOfFinding, type RuleWords } from '../check-report.ts'
import { count, length } from '../closing-words.ts'
import { worstFirst } from '../order-findings.ts'
import { placeWords } from '../render-text.ts'
import { lineText, placeOf } from '../text-lines.ts'
import { figure, paragraph, section, table, type Html } from './html.ts'
import { recordScene, type RecordInput } from './record-input.ts'

/** Findings of one rule that are written out; the rest get a line of a table each. */
const FULL_FINDINGS = 12
/** Findings of one rule that get a picture. */
const PICTURES = 6

interface Numbered { readonly mark: string, readonly finding: Finding }

/** What was found, by cause: the gravest rule first, the worst place first in each; then what was accepted. */
export function findingsSection(input: RecordInput): Html {
  const open = numbered(input.program.findings.filter(({ waiver }) => waiver === undefined), '')
  if (open.length === 0) return section('findings', 'Findings', [paragraph('Nothing was found in what was checked. What that covers, and what not, is said above.')])
  const groups = byRule(open), scene = recordScene(input)
  const overview = scene === undefined ? [] : [figure(
    pictureOfProgram(scene, input.program.name, open), 'The part and the way of the tool point: feed moves drawn through, rapids dashed, also where the part hides them. Numbers are those of the findings.')]
  return section('findings', 'Findings', [...overview, ...[...groups].map(([rule, group]) => groupOf(rule, group, input, scene))])
}

/** What a reviewer has accepted in the program, with the reason written there. */
export function acceptedSection(input: RecordInput): Html {
  const accepted = numbered(input.program.findings.filter(({ waiver }) => waiver !== undefined), 'A')
  if (accepted.length === 0) return section('accepted', 'Accepted findings', [paragraph('No finding is accepted in the program.')])
  return section('accepted', 'Accepted findings', [table('Accepted by a comment in the program; the reason is the one written there.', ['No.', 'Finding', 'Where', 'What', 'Reason'],
    accepted.map(({ mark, finding }) => [mark, `${finding.level} ${finding.rule}`, placeWords(input.report, input.program, finding), finding.message, finding.waiver?.reason ?? '']))])
}

function numbered(findings: readonly Finding[], before: string): Numbered[] {
  return worstFirst(findings).map((finding, n) => ({ mark: `${before}${n + 1}`, finding }))
}

/** In the order in which the rules first come. */
function byRule(findings: readonly Numbered[]): Map<string, Numbered[]> {
  const groups = new Map<string, Numbered[]>()
  for (const one of findings) groups.set(one.finding.rule, [...groups.get(one.finding.rule) ?? [], one])
  return groups
}

function groupOf(rule: string, group: readonly Numbered[], input: RecordInput, scene: RecordScene | undefined): Html {
  const words: RuleWords | undefined = input.report.rules.find(({ id }) => id === rule)
  const full = group.slice(0, FULL_FINDINGS), brief = group.slice(FULL_FINDINGS)
  return [
    `<h3>${escaped(rule)}: ${escaped(count(group.length, group.length === 1 ? 'cause' : 'place'))}</h3>`,
    ...words === undefined ? [] : [paragraph(`${words.why} ${words.instead}`, 'soft')],
    ...full.map((one, n) => written(one, input, n < PICTURES ? scene : undefined)),
    ...brief.length === 0 ? [] : [table(`Further places of ${rule}`, ['No.', 'Where', 'What'], brief.map(({ mark, finding }) => [mark, placeWords(input.report, input.program, finding), finding.message]))],
  ].join('\n')
}

function written({ mark, finding }: Numbered, { report, program }: RecordInput, scene: RecordScene | undefined): Html {
  const { level, open, contact, related } = finding, lines = linesOfFinding(report, program, finding)
  const isLine = lines !== undefined && lines.text.length > 0 && finding.span.end > 0
  const code = isLine ? lineText(lines, placeOf(lines, finding.span.start).line).trim() : ''
  const picture = scene === undefined ? undefined : pictureOfFinding(scene, finding)
  return [
    '<article class="finding">',
    `<h4>${mark}. <span class="level ${level}">${level}${open === true ? ', undecided' : ''}</span> ${escaped(placeWords(report, program, finding))}</h4>`,
    paragraph(finding.message),
    ...code === '' ? [] : [`<p><code>${escaped(code)}</code></p>`],
    ...contact === undefined ? [] : [paragraph([
      contact.depth === undefined ? `${length(contact.clearance ?? 0)} mm clear` : `${length(contact.depth)} mm deep`, ` ± ${boundText(contact.bound)} mm, limit ${length(contact.allowed)} mm; `,
      contact.blocks === 1 ? `line ${contact.worstLine}, one block` : `lines ${contact.firstLine} to ${contact.lastLine}, ${count(contact.blocks, 'block')}, worst in line ${contact.worstLine}`, '.',
    ].join(''), 'soft')],
    ...open === true ? [paragraph('The proven bounds do not settle it; it counts at this level until they do.', 'soft')] : [],
    ...(related ?? []).map(one => paragraph(`See ${placeWords(report, program, one)}: ${one.message}`, 'soft')),
    ...picture === undefined ? [] : [figure(picture, sectionWords(finding))],
    '</article>',
  ].join('\n')
}

function sectionWords({ contact }: Finding): string {
  const body = contact?.against === 'stock' ? 'The part is drawn; the stock of that moment is not.' : ''
  return `Cut through the tool's axis and the place that is ringed, the axis upright; left as a whole, right a closer look. ${body}`.trim()
}
