import { boundText } from '../../shared/bound-text.ts'
import type { MendOutcome } from '../edge/mend-job.ts'
import type { LineChange, MendedReport, MendReport, ProvenFigure, Reach, RefusedReport } from '../engine/service.ts'
import { count, length } from './closing-words.ts'
import { printable } from './code-frame.ts'

/** What a mend has changed, block by block with the figures before and after, and what it had to leave as it was. */
export function renderMend({ report }: MendOutcome, names: { readonly before: string, readonly after: string, readonly sheet?: string }): string {
  const way = `${printable(names.before)} to ${printable(names.after)}`
  if (report === undefined) return `${way}: nothing was mended, because contact was not searched; what stands in the way is said below.\n`
  const { mended, refused } = report
  if (mended.length + refused.length + report.reach.length === 0) return `${way}: nothing was found that a correction of the path could mend; the program is unchanged.\n`
  const blocks = new Set(mended.flatMap(place => place.changes.map(change => change.line))).size
  const lines = [`${way}: ${count(mended.length, 'place')} mended in ${count(blocks, 'block')}, ${refused.length} left as ${refused.length === 1 ? 'it was' : 'they were'}`, '']
  for (const place of mended) lines.push(...mendedLines(place), '')
  for (const place of refused) lines.push(...refusedLines(place), '')
  lines.push(...proofLines(report.proof))
  for (const each of report.reach) lines.push(reachLine(each, names.sheet), ...proofLines(each.proof, ' with it'), ...each.proof === undefined ? [''] : [])
  return lines.map(printable).join('\n')
}

/** What the proof reaches, and what it does not. */
function proofLines(proof: MendReport['proof'], how = ''): string[] {
  if (proof === undefined) return []
  return [
    ...proof.left.map(each => `LEFT STANDING more than before  ${each}`),
    `Checked again${how} from the first block to the last, and nothing${proof.left.length > 0 ? ' else' : ''} is worse: ${proof.checked.join(', ')}.`,
    ...proof.unchecked.length === 0 ? [] : [`Not checked again${how}: ${proof.unchecked.join(', ')}.`], '',
  ]
}

function mendedLines(place: MendedReport): string[] {
  const state = place.remaining === 0 ? 'MENDED' : `MENDED IN PART, ${count(place.remaining, 'figure')} still at fault`
  return [
    `${state} ${place.rules.join(', ')}  ${blocksOf(place)}`,
    ...place.rejected.map(why => `  not enough: ${why}`),
    ...place.stays.map(why => `  stays: ${why}`),
    ...place.corrections.map(each => `  ${each}`),
    ...place.figures.map(({ component, against, keep, before, after }) =>
      `  ${component} against ${against}: ${figure(before)} before, ${after === undefined ? `clear of the limit` : figure(after)} after (proven); limit ${limit(keep)}`),
    ...place.changes.flatMap(changeLines),
    ...place.standing > 0.0005 ? [`  up to ${length(place.standing)} mm more stay standing beside it than before`] : [],
  ]
}

function refusedLines(place: RefusedReport): string[] {
  return [`NOT MENDED ${place.rules.join(', ')}  ${blocksOf(place)}`, ...place.why.map(why => `  ${why}`)]
}

/** The path is not changed by a stick-out: who sets up the tool has to know. */
function reachLine({ tool, from, to, why }: Reach, sheet: string | undefined): string {
  return to === undefined ? `STICK-OUT of tool ${tool}: ${why ?? 'none helps'}`
    : `STICK-OUT of tool ${tool}: with LPR ${Number(to.toFixed(3))} mm instead of ${Number(from.toFixed(3))} its holder keeps its distance in the whole program (proven); ${sheet === undefined ? 'write it into the sheet' : `it stands in ${sheet}: check with that sheet`}, and set the tool up so`
}

function changeLines({ name, words, inserted }: LineChange): string[] {
  return [
    ...inserted.map(block => `  before ${name}: ${block} put in`),
    ...words.length === 0 ? [] : [`  ${name}: ${words.map(({ from, to }) => from === '' ? `${to} added` : to === '' ? `${from} left out` : `${from} -> ${to}`).join(', ')}`],
  ]
}

function blocksOf({ first, last, firstLine, lastLine }: { readonly first: string, readonly last: string, readonly firstLine: number, readonly lastLine: number }): string {
  return firstLine === lastLine ? `${first}, line ${firstLine + 1}` : `${first} to ${last}, lines ${firstLine + 1} to ${lastLine + 1}`
}

function figure({ value, bound }: ProvenFigure): string {
  return `${length(Math.abs(value))} mm ${value < 0 ? 'deep' : 'clear'} ± ${boundText(bound)}`
}

function limit(keep: number): string {
  return `${length(Math.abs(keep))} mm ${keep < 0 ? 'deep' : 'clear'}`
}
