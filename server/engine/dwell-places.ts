import type { Span } from '../../shared/span.ts'
import { BlockReader } from './nc/block-reader.ts'
import { findCode, wordSpan } from './nc/words.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

/** A dwell of the program's own text, with the motion that ended before it. */
export interface DwellPlace { readonly span: Span, readonly motion: number }

/** G4 as it can be written; the reader decides. */
const mayDwell = /G\s*0*4(?![\d.])/i

/** The dwells between two motions: those whose line lies behind that of the one and not behind that of the next. */
export function dwellPlaces({ text, lineStarts, toolpath }: ReadProgram, { machine }: Scene): DwellPlace[] {
  const spans = dwellSpans(text, lineStarts, machine.control.wholeNumber)
  if (spans.size === 0) return []
  const lines = [...spans.keys()], places: DwellPlace[] = []
  for (let motion = 0; motion < toolpath.count; motion++) {
    const from = toolpath.line[motion] ?? 0, to = toolpath.line[motion + 1] ?? Infinity
    for (const line of to > from ? lines : []) {
      const span = line > from && line <= to ? spans.get(line) : undefined
      if (span !== undefined) places.push({ span, motion })
    }
  }
  return places
}

/** The word of each line that asks for a dwell, by line. */
function dwellSpans(text: string, lineStarts: Uint32Array, wholeNumber: Scene['machine']['control']['wholeNumber']): Map<number, Span> {
  const spans = new Map<number, Span>()
  // The faults of the text have been reported when it was run.
  const reader = new BlockReader(text, { wholeNumber, lineStarts }, () => {})
  for (let line = 0; line < lineStarts.length - 1; line++) {
    if (!mayDwell.test(text.slice(lineStarts[line], lineStarts[line + 1]))) continue
    reader.seek(line)
    const block = reader.next(), word = block === undefined ? -1 : findCode(block, 'G', 4)
    if (block !== undefined && word >= 0) spans.set(line, wordSpan(block, word))
  }
  return spans
}
