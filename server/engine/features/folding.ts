import { readMarks } from './block-marks.ts'
import { outlineOf, type OutlineNode } from './outline.ts'
import { linesWith, type ProgramText } from './program-text.ts'

/** Lines that can be shown as one: 0-based, both included. */
export interface Fold {
  readonly first: number
  readonly last: number
  readonly kind: 'region' | 'comment'
}

/** Programs, tools, passes, what a comment heads, loops, and comments that follow each other. */
export function foldsOf(program: ProgramText): Fold[] {
  const folds = [...outlineFolds(outlineOf(program)), ...loopFolds(program), ...commentFolds(program)]
  const seen = new Set<string>()
  return folds.filter(({ first, last }) => last > first && !seen.has(`${first} ${last}`) && seen.add(`${first} ${last}`) !== undefined)
    .sort((a, b) => a.first - b.first || b.last - a.last)
}

function outlineFolds(nodes: readonly OutlineNode[]): Fold[] {
  return nodes.flatMap(({ first, last, children }): Fold[] => [{ first, last, kind: 'region' }, ...outlineFolds(children)])
}

/** WHILE … DO n to its END n. */
function loopFolds(program: ProgramText): Fold[] {
  const open: { readonly number: number, readonly line: number }[] = [], folds: Fold[] = []
  for (const line of linesWith(program, /DO|END/i)) {
    const { marks } = readMarks(program, line)
    for (const [at, mark] of marks.entries()) {
      const number = marks[at + 1]
      if (mark.kind !== 'keyword' || number?.kind !== 'number') continue
      if (mark.word === 'DO') open.push({ number: number.value, line })
      if (mark.word !== 'END') continue
      const head = open.findLastIndex(one => one.number === number.value)
      const [begun] = head < 0 ? [] : open.splice(head)
      if (begun !== undefined) folds.push({ first: begun.line, last: line, kind: 'region' })
    }
  }
  return folds
}

function commentFolds(program: ProgramText): Fold[] {
  const folds: { first: number, last: number, kind: 'comment' }[] = []
  for (const line of linesWith(program, /^[ \t]*(?:N[ \t]*\d+[ \t]*)?[(;]/im)) {
    const { marks } = readMarks(program, line)
    if (!marks.every(mark => mark.kind === 'comment' || mark.kind === 'word' && mark.letter === 'N')) continue
    const before = folds.at(-1)
    if (before !== undefined && before.last === line - 1) before.last = line
    else folds.push({ first: line, last: line, kind: 'comment' })
  }
  return folds
}
