import { boundText } from '../../shared/bound-text.ts'
import type { PathChange, PlacedDeviation } from './compare/compare-paths.ts'
import type { OtherWords } from './compare/other-words.ts'
import type { StateChange, StateKind } from './compare/state-changes.ts'
import type { ClearanceChange, ProgramComparison } from './compare-programs.ts'
import { timeText } from './features/number-text.ts'
import type { WorstFigure } from './summarise.ts'

/** A part of the comparison in words: a heading and its lines. */
export interface ComparisonSection {
  readonly heading: string
  readonly lines: readonly string[]
}

/** Entries of one kind that are written out; the rest are counted. */
const MOST_ENTRIES = 50

/** In one or a few sentences what the edit does, for whoever stands at the machine. Never that it is safe. */
export function verdictOf(comparison: ProgramComparison): string[] {
  const { changes, states, words, isSameText, findings, rewritten } = comparison
  if (isSameText) return ['Both programs are the same text.']
  const told: string[] = []
  const doing = [
    ...changes.length === 0 ? [] : [`the motion in ${places(changes.length)}${farthest(changes)}`],
    ...kindsIn(states),
    ...words.gone.length + words.new.length === 0 ? [] : ['words that show in no motion'],
  ]
  if (doing.length === 0) {
    told.push(rewritten === 0
      ? 'The edit changes no motion, feed, speed, tool or offset: only numbers, comments or the way in which the same motion is written.'
      : `The edit changes no feed, speed, tool or offset, and writes the same way in other blocks in ${places(rewritten)}.`)
  } else told.push(`The edit changes ${list(doing)}.`)
  if (changes.some(change => change.tool === undefined)) told.push('Where the tool stands is not known in all of it: there the motion was not compared.')
  const fresh = [...findings.stateOf].filter(([finding, state]) => state === 'new' && finding.waiver === undefined).map(([finding]) => finding)
  const errors = fresh.filter(finding => finding.level === 'error').length
  const nearer = comparison.clearances.filter(({ change }) => change === 'nearer')
  told.push(
    `${fresh.length === 0 ? 'No finding is new' : `${count(fresh.length, 'finding')} ${fresh.length === 1 ? 'is' : 'are'} new${errors === 0 ? '' : fresh.length === 1 ? ' (an error)' : errors === fresh.length ? ', all of them errors' : `, ${errors} of them ${errors === 1 ? 'an error' : 'errors'}`}`}, `
    + `${findings.worse.size === 0 ? '' : `${findings.worse.size} ${findings.worse.size === 1 ? 'has' : 'have'} become graver, `}`
    + `${findings.absent.length === 0 ? 'none is' : findings.absent.length === 1 ? '1 is' : `${findings.absent.length} are`} gone.`)
  if (nearer.length > 0) told.push(`Nearer to the part than before: ${partsOf(nearer)}.`)
  return [...told, ...leftOpen(comparison)]
}

/** What the verdict does not reach: silence about these would read as no change. */
function leftOpen({ clearances, findings, words }: ProgramComparison): string[] {
  const lost = clearances.filter(({ change, new: now }) => change === 'one-sided' && now === undefined)
  const unchecked = [...findings.stateOf.keys()].filter(({ rule }) => rule === 'not-checked' || rule === 'unknown-code').length
  const isSkipped = ({ words: block }: OtherWords) => block.startsWith('/')
  return [
    ...lost.length === 0 ? [] : [`NOT compared with the part in the new program, though in the old one: ${partsOf(lost)}.`],
    ...unchecked === 0 ? [] : [`${count(unchecked, 'finding')} below ${unchecked === 1 ? 'says' : 'say'} that something was not checked: what it does to the motion is not in this verdict.`],
    ...words.gone.some(isSkipped) || words.new.some(isSkipped) ? ['Blocks under a block skip (/) differ: with its switch set the other way the motion is another one.'] : [],
  ]
}

function partsOf(changes: readonly ClearanceChange[]): string {
  return changes.map(({ tool, component }) => `${component} of tool ${tool}`).join(', ')
}

/** Everything that differs, part by part; parts without a difference say so. */
export function comparisonSections(comparison: ProgramComparison): ComparisonSection[] {
  const { changes, states, words, clearances, seconds, sameMotions, rewritten } = comparison
  return [
    {
      heading: 'Motion',
      lines: [
        ...shortened(changes, changeWords),
        ...rewritten === 0 ? [] : [`The same way, within 0.0001 mm, is written in other blocks in ${places(rewritten)}.`],
        `${count(sameMotions, 'motion')} of the new program ${sameMotions === 1 ? 'is' : 'are'} as before.`,
      ],
    },
    { heading: 'In force while it moves', lines: states.length === 0 ? ['Feeds, speeds, tools, offsets and coolant are as before.'] : shortened(states, stateWords) },
    {
      heading: 'Other words',
      lines: words.gone.length + words.new.length === 0 ? ['None that differ.'] : [...shortened(words.gone, entry => wordsEntry('gone', entry)), ...shortened(words.new, entry => wordsEntry('new', entry))],
    },
    { heading: 'Worst figures against the part, with proven bounds', lines: clearances.length === 0 ? ['The tools were not compared with a part.'] : clearances.map(clearanceWords) },
    { heading: 'Estimated time', lines: [`${duration(seconds.old)} before, ${duration(seconds.new)} now.`] },
  ]
}

function changeWords({ oldLines, newLines, oldMotions, newMotions, tool, rotary, isLoose }: PathChange): string {
  const where = newLines === undefined ? `Old ${lines(oldLines)}, gone from the new program` : oldLines === undefined ? `${capital(lines(newLines))}, new` : `${capital(lines(newLines))} (before: ${lines(oldLines)})`
  const turned = rotary === undefined ? '' : `, ${rotary.letter} by up to ${degrees(rotary.angle)}`
  const counts = oldMotions === newMotions ? '' : ` ${count(newMotions, 'motion')} instead of ${oldMotions}.`
  if (tool === undefined) return `${where}: where the tool stands is not known here, so the motion could not be compared.${counts}`
  const { point, axis } = tool
  const way = point.value < 5e-5 ? 'the tool point runs the same way' : `the tool point runs up to ${atMost(point, 1, 4)} mm off, most in line ${point.newLine} at X${mm(point.point[0])} Y${mm(point.point[1])} Z${mm(point.point[2])} on the part`
  const lean = axis.value < 1e-6 ? '' : `; the tool axis leans up to ${atMost(axis, 180 / Math.PI, 3)}° differently, most in line ${axis.newLine}`
  const loose = isLoose ? ' So many blocks differ that they were matched by their share of the way: the distances are bounds, and feeds and speeds were not compared here.' : ''
  return `${where}: ${way}${lean}${turned}.${counts}${loose}`
}

/** The proven bound, rounded up: nowhere is it more. */
function atMost({ atMost: bound }: PlacedDeviation, factor: number, digits: number): string {
  const scale = 10 ** digits
  return String(Math.ceil(bound * factor * scale - 1e-6) / scale)
}

const kindNames: Readonly<Record<StateKind, string>> = {
  'tool': 'tool', 'length-offset': 'length offset', 'work-offset': 'work offset', 'spindle': 'spindle', 'feed': 'feed', 'rapid': 'rapid or feed', 'coolant': 'coolant',
}

function stateWords({ kind, from, to, firstLine, lastLine, oldLine, blocks }: StateChange): string {
  const where = firstLine === lastLine ? `in line ${firstLine}` : `in ${count(blocks, 'block')}, lines ${firstLine} to ${lastLine}`
  return `${capital(kindNames[kind])}: ${from} before, ${to} now, ${where} (before: from line ${oldLine} on).`
}

function wordsEntry(what: 'gone' | 'new', { line, words }: OtherWords): string {
  return `${what === 'gone' ? 'Gone, old' : 'New,'} line ${line}: ${words.length > 60 ? `${words.slice(0, 59)}…` : words}`
}

const changeNames: Readonly<Record<ClearanceChange['change'], string>> = { 'nearer': 'NEARER', 'farther': 'farther', 'same': 'no change beyond the bounds', 'one-sided': 'only in one of them' }

function clearanceWords({ tool, component, old, new: now, change }: ClearanceChange): string {
  return `Tool ${tool}, ${component}: ${figureWords(old)} before, ${figureWords(now)} now: ${changeNames[change]}.`
}

function figureWords(figure: WorstFigure | undefined): string {
  if (figure === undefined) return 'no figure'
  const { value, bound, line } = figure
  return `${Math.abs(value).toFixed(3)} mm ${value > 0 ? 'clear' : 'into the part'} ± ${boundText(bound)} (line ${line})`
}

function shortened<T>(entries: readonly T[], words: (entry: T) => string): string[] {
  const more = entries.length - MOST_ENTRIES
  return [...entries.slice(0, MOST_ENTRIES).map(words), ...more > 0 ? [`And ${more} more of these; SARIF output has them all.`] : []]
}

function kindsIn(states: readonly StateChange[]): string[] {
  return [...new Set(states.map(({ kind }) => kind))].map(kind => {
    const [first, ...more] = states.filter(state => state.kind === kind)
    const name = kind === 'rapid' ? 'what is rapid and what is feed' : `the ${kindNames[kind]}`
    return first === undefined || more.length > 0 ? name : `${name} (${first.from} before, ${first.to} now)`
  })
}

function farthest(changes: readonly PathChange[]): string {
  const known = changes.flatMap(({ tool }) => tool === undefined ? [] : [tool.point]).sort((a, b) => b.value - a.value)[0]
  return known === undefined || known.value < 5e-5 ? '' : ` (up to ${atMost(known, 1, 3)} mm off, in line ${known.newLine})`
}

function lines(range: PathChange['newLines']): string {
  if (range === undefined) return 'no line'
  return range.first === range.last ? `line ${range.first}` : `lines ${range.first} to ${range.last}`
}

function places(number: number): string {
  return number === 1 ? 'one place' : `${number} places`
}

function list(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`
}

function count(number: number, noun: string): string {
  return `${number.toLocaleString('en-US')} ${noun}${number === 1 ? '' : 's'}`
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1)
}

function degrees(radians: number): string {
  return `${(radians * 180 / Math.PI).toFixed(3)}°`
}

function mm(value: number): string {
  return String(Number(value.toFixed(3)))
}

function duration(seconds: number): string {
  return Number.isFinite(seconds) ? timeText(seconds) : 'an unknown time'
}
