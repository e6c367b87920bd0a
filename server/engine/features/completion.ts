import { expressionFunctions } from '../../../shared/usual-variables.ts'
import { axisLetters, addresses } from '../nc/addresses.ts'
import { allRules } from '../lint/all-rules.ts'
import { dialectOf, hasEffect, readMarks, readMarksOf } from './block-marks.ts'
import { wordsOfCode } from './code-signature.ts'
import { lineText, linesWith, type Place, type ProgramText } from './program-text.ts'
import { sectionAt, sectionsOf } from './sections.ts'

export interface Offer {
  readonly label: string
  /** One line beside the label. */
  readonly detail: string
  /** Markdown; empty where the detail says all. */
  readonly documentation: string
  readonly kind: 'code' | 'letter' | 'tool' | 'sequence' | 'program' | 'variable' | 'rule' | 'keyword' | 'function'
}

export interface Completion {
  /** What is replaced by the label of the offer that is taken. */
  readonly place: Place
  readonly offers: readonly Offer[]
  /** There are more than are listed: ask again when more is typed. */
  readonly isPart: boolean
}

/** Sequence numbers and variables listed at once. */
const MOST_OFFERS = 200

type Source = (program: ProgramText, line: number, typed: string, before: string) => readonly Offer[]

/** What may stand behind the text before the cursor; the first pattern that fits is taken. */
const sources: readonly { readonly pattern: RegExp, readonly inComment?: true, readonly offers: Source }[] = [
  { pattern: /[(;]\s*ACCEPT\s+([a-z-]*)$/i, inComment: true, offers: rules },
  { pattern: /(G[ \t]*[\d.]*)$/i, offers: program => codes(program, 'g') },
  { pattern: /(M[ \t]*[\d.]*)$/i, offers: program => codes(program, 'm') },
  { pattern: /GOTO[ \t]*(\d*)$/i, offers: (program, line, typed) => sequences(program, line, typed, '') },
  { pattern: /(#[ \t]*(?:\d*|<[^>]*))$/, offers: variables },
  { pattern: /(T[ \t]*\d*)$/i, offers: tools },
  { pattern: /(H[ \t]*\d*)$/i, offers: lengthOffsets },
  { pattern: /(D[ \t]*\d*)$/i, offers: radiusOffsets },
  { pattern: /^[ \t]*(?:\/\d?[ \t]*)?(N[ \t]*\d*)$/i, offers: nextSequence },
  { pattern: /(P[ \t]*\d*)$/i, offers: callTargets },
  { pattern: /\[[^\]]*?([A-Z]*)$/i, offers: functions },
  { pattern: /(?:^|[\s\d.\])/])([A-Z]*)$/i, offers: letters },
]

/** What can be written at the cursor. */
export function completionAt(program: ProgramText, line: number, column: number): Completion {
  const text = lineText(program, line), before = text.slice(0, column)
  const isInComment = readMarks(program, line).marks.some(mark => mark.kind === 'comment' && column > mark.from && (column < mark.to || column === text.length && text.charAt(mark.to - 1) !== ')'))
  for (const { pattern, inComment, offers } of sources) {
    const typed = (inComment === true) === isInComment ? pattern.exec(before)?.[1] : undefined
    if (typed === undefined) continue
    const found = offers(program, line, typed, before)
    return { place: { line, from: column - typed.length, to: column }, offers: found.slice(0, MOST_OFFERS), isPart: found.length > MOST_OFFERS }
  }
  return { place: { line, from: column, to: column }, offers: [], isPart: false }
}

function codes({ machine: { control } }: ProgramText, letter: 'g' | 'm'): Offer[] {
  return dialectOf(control)[letter].flatMap((code): Offer[] => {
    if (code === undefined) return []
    const words = wordsOfCode(code).map(word => `- \`${word.letter}\` ${word.says}${word.isNeeded ? '' : ' (may be left out)'}`)
    return [{ label: code.code, detail: code.says, documentation: [`${code.says}. Source: ${code.clause}.`, ...words.length > 0 ? ['', ...words] : []].join('\n'), kind: 'code' }]
  })
}

function tools({ setup }: ProgramText): Offer[] {
  return [...setup?.tools ?? [], ...setup?.toolsSetAside ?? []].map(tool => ({ label: `T${tool.number}`, detail: tool.name, documentation: `Length offset H${tool.lengthOffset}.`, kind: 'tool' }))
}

function lengthOffsets({ setup }: ProgramText): Offer[] {
  return (setup?.tools ?? []).map(tool => ({ label: `H${tool.lengthOffset}`, detail: `length offset of T${tool.number} ${tool.name}`, documentation: '', kind: 'tool' }))
}

function radiusOffsets({ setup }: ProgramText): Offer[] {
  return (setup?.tools ?? []).map(tool => ({ label: `D${tool.radiusOffset ?? tool.number}`, detail: `radius offset of T${tool.number} ${tool.name}`, documentation: '', kind: 'tool' }))
}

/** N numbers of the program that the line belongs to. */
function sequences(program: ProgramText, line: number, typed: string, letter: string): Offer[] {
  const { first, last } = sectionAt(sectionsOf(program), line), offers: Offer[] = []
  for (const at of linesWith(program, new RegExp(`^[ \\t]*(?:/\\d?[ \\t]*)?N[ \\t]*0*${typed}\\d*`, 'im'))) {
    if (at < first || at > last) continue
    if (offers.length > MOST_OFFERS) break
    const number = /N[ \t]*0*(\d+)/i.exec(lineText(program, at))?.[1]
    if (number !== undefined) offers.push({ label: letter + number, detail: lineText(program, at).trim().slice(0, 60), documentation: `Line ${at + 1}.`, kind: 'sequence' })
  }
  return offers
}

/** One number: as far behind the block above as that is behind the one before it. */
function nextSequence(program: ProgramText, line: number): Offer[] {
  const above: number[] = []
  for (let at = line - 1; at >= 0 && at > line - 50 && above.length < 2; at--) {
    const number = /^[ \t]*(?:\/\d?[ \t]*)?N[ \t]*(\d+)/i.exec(lineText(program, at))?.[1]
    if (number !== undefined) above.push(Number(number))
  }
  const [near, far] = above
  if (near === undefined) return []
  const step = far === undefined || far >= near ? 10 : near - far
  return [{ label: `N${near + step}`, detail: 'the number that comes next', documentation: '', kind: 'sequence' }]
}

function callTargets(program: ProgramText, line: number, typed: string, before: string): Offer[] {
  const block = readMarksOf(before, program.machine.control)
  if (hasEffect(block, 'return')) return sequences(program, line, typed.replace(/\D/g, ''), 'P')
  if (!hasEffect(block, 'call', 'macro', 'macro-modal')) return []
  return sectionsOf(program).flatMap(({ number, first }): Offer[] =>
    number === undefined ? [] : [{ label: `P${number}`, detail: lineText(program, first).trim().slice(0, 60), documentation: '', kind: 'program' }])
}

/** Variables that the text mentions. */
function variables(program: ProgramText): Offer[] {
  const names = new Set<string>()
  for (const line of linesWith(program, /#/)) {
    for (const mark of readMarks(program, line).marks) if (mark.kind === 'variable') names.add(mark.name)
    if (names.size > MOST_OFFERS) break
  }
  return [...names].sort((a, b) => a.localeCompare(b, 'en', { numeric: true })).map(name => ({ label: name, detail: 'variable of this program', documentation: '', kind: 'variable' }))
}

function functions(): Offer[] {
  return expressionFunctions.map(name => ({ label: name, detail: 'function; angles in degrees', documentation: '', kind: 'function' }))
}

function rules(): Offer[] {
  return allRules.map(rule => ({ label: rule.id, detail: rule.docs.what, documentation: '', kind: 'rule' }))
}

/** Letters that mean something on this machine, and the words that steer the run. */
function letters({ machine }: ProgramText): Offer[] {
  const axes = new Set(machine.axes.map(axis => axis.letter))
  const own = addresses.filter(({ letter }) => !axisLetters.includes(letter) || axes.has(letter))
  const steering = machine.control.variables === false || machine.control.jumps === false ? [] : ['IF', 'GOTO', 'WHILE', 'DO', 'END']
  return [
    ...own.map(({ letter, meaning }): Offer => ({ label: letter, detail: meaning, documentation: '', kind: 'letter' })),
    ...steering.map((word): Offer => ({ label: word, detail: 'steers the run of the program', documentation: '', kind: 'keyword' })),
  ]
}
