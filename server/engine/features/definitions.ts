import type { Span } from '../../../shared/span.ts'
import type { ProgramText, Place } from './program-text.ts'
import { occurrencesOf, targetAt, type Occurrence } from './targets.ts'

/** Where something is laid down: in the program itself, or in another file. */
export type Definition =
  | { readonly kind: 'place', readonly place: Place }
  /** The start of a file: the program it holds. */
  | { readonly kind: 'file', readonly path: string }
  /** A stretch of the setup sheet, by offsets. */
  | { readonly kind: 'sheet', readonly path: string, readonly span: Span }

/** Path of the file that holds a program which this text does not, or undefined. */
export type FindProgram = (number: number) => string | undefined

/** Where the thing under the cursor is laid down; `origin` is the word that was asked about. */
export function definitionsAt(program: ProgramText, line: number, column: number, findProgram: FindProgram): { readonly origin: Place, readonly definitions: readonly Definition[] } | undefined {
  const origin = targetAt(program, line, column)
  if (origin === undefined) return undefined
  const { target } = origin
  if (target.kind === 'tool' || target.kind === 'lengthOffset' || target.kind === 'radiusOffset') return { origin, definitions: inSheet(program, origin) }
  const here = occurrencesOf(program, target).filter(one => one.isDefinition)
  if (target.kind !== 'program' || here.length > 0) return { origin, definitions: here.map(place => ({ kind: 'place', place })) }
  const path = findProgram(target.number)
  return { origin, definitions: path === undefined ? [] : [{ kind: 'file', path }] }
}

/** The tool of the sheet that a T, H or D belongs to. */
function inSheet({ setup }: ProgramText, { target }: Occurrence): Definition[] {
  if (setup === undefined || !('number' in target)) return []
  const number = target.number
  return [...setup.tools, ...setup.toolsSetAside ?? []].filter(tool => {
    if (target.kind === 'tool') return tool.number === number
    if (target.kind === 'lengthOffset') return tool.lengthOffset === number
    return (('radiusOffset' in tool ? tool.radiusOffset : undefined) ?? tool.number) === number
  }).map(tool => ({ kind: 'sheet', path: setup.path, span: tool.span }))
}

/** Every place that means the same as the word under the cursor. */
export function referencesAt(program: ProgramText, line: number, column: number): Occurrence[] {
  const origin = targetAt(program, line, column)
  return origin === undefined ? [] : occurrencesOf(program, origin.target)
}
