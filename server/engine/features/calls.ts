import { digitsPattern, hasEffect, readMarks, wordOf } from './block-marks.ts'
import type { FindProgram } from './definitions.ts'
import { lineCount, linesWith, type Place, type ProgramText } from './program-text.ts'
import { sectionAt, sectionsOf, type Section } from './sections.ts'

/** A program as the end of a call: in this text, or in a file of its own. */
export interface CallEnd {
  readonly name: string
  readonly number: number | undefined
  /** Where it begins in this text; undefined for another file. */
  readonly place: Place | undefined
  readonly last: number
  readonly path: string | undefined
}

export interface Call {
  readonly from: CallEnd
  readonly to: CallEnd
  /** The words that ask for it, in the calling program. */
  readonly places: readonly Place[]
}

/** The program a line belongs to, or the one that the line calls where the cursor stands on the call. */
export function callEndAt(program: ProgramText, line: number, column: number, findProgram: FindProgram): CallEnd {
  const called = callsOnLine(program, line).find(({ place }) => column >= place.from && column <= place.to)
  if (called !== undefined) return endOf(program, called.number, findProgram)
  return sectionEnd(program, sectionAt(sectionsOf(program), line))
}

/** Calls that the program with the number makes; undefined: the one that has no number. */
export function callsFrom(program: ProgramText, number: number | undefined, findProgram: FindProgram): Call[] {
  const section = sectionsOf(program).find(one => one.number === number)
  if (section === undefined) return []
  return gather(callsOf(program).filter(call => call.line >= section.first && call.line <= section.last)
    .map(call => ({ from: sectionEnd(program, section), to: endOf(program, call.number, findProgram), place: call.place })))
}

/** Calls of this text that lead to the program with the number. */
export function callsTo(program: ProgramText, number: number, findProgram: FindProgram): Call[] {
  const sections = sectionsOf(program), to = endOf(program, number, findProgram)
  return gather(callsOf(program, number).map(call => ({ from: sectionEnd(program, sectionAt(sections, call.line)), to, place: call.place })))
}

interface CallWord { readonly line: number, readonly number: number, readonly place: Place }

/** Every call of the text, or those of one program. */
export function callsOf(program: ProgramText, number?: number): CallWord[] {
  const pattern = new RegExp(`P[ \\t]*${number === undefined ? '\\d' : digitsPattern(number)}`, 'i')
  return [...linesWith(program, pattern)].flatMap(line => callsOnLine(program, line)).filter(call => number === undefined || call.number === number)
}

function callsOnLine(program: ProgramText, line: number): CallWord[] {
  const block = readMarks(program, line), word = wordOf(block, 'P')
  if (word === undefined || !word.isPlain || !hasEffect(block, 'call', 'macro', 'macro-modal')) return []
  return [{ line, number: word.value, place: { line, from: word.from, to: word.to } }]
}

function sectionEnd(program: ProgramText, { number, first, last }: Section): CallEnd {
  return { name: number === undefined ? 'Program' : `O${number}`, number, place: { line: first, from: 0, to: 0 }, last: Math.min(last, lineCount(program) - 1), path: undefined }
}

function endOf(program: ProgramText, number: number, findProgram: FindProgram): CallEnd {
  const section = sectionsOf(program).find(one => one.number === number)
  if (section !== undefined) return sectionEnd(program, section)
  return { name: `O${number}`, number, place: undefined, last: 0, path: findProgram(number) }
}

function gather(single: readonly { readonly from: CallEnd, readonly to: CallEnd, readonly place: Place }[]): Call[] {
  const found = new Map<string, { from: CallEnd, to: CallEnd, places: Place[] }>()
  for (const { from, to, place } of single) {
    const key = `${from.name} ${to.name}`, known = found.get(key)
    if (known === undefined) found.set(key, { from, to, places: [place] })
    else known.places.push(place)
  }
  return [...found.values()]
}
