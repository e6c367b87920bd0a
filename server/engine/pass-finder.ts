import type { Pass } from '../../shared/setup.ts'
import type { Span } from '../../shared/span.ts'
import type { PassLines } from './contact/effective-limits.ts'
import { Notes } from './lint/notes.ts'
import type { BlockStep, RuleVisitor } from './lint/rule.ts'
import { lineOf } from './nc/line-index.ts'

/** Finds the lines between the sequence numbers that the sheet's passes name. */
export class PassFinder implements RuleVisitor {
  readonly notes = new Notes<{ readonly span: Span, readonly sequence: number }>()
  readonly #passes: readonly Pass[]
  readonly #named: ReadonlySet<number | undefined>

  constructor(passes: readonly Pass[]) {
    this.#passes = passes
    this.#named = new Set(passes.flatMap(pass => [pass.from, pass.to]))
  }

  readonly block = ({ block: { sequence, start, end }, file }: BlockStep): void => {
    if (sequence >= 0 && file === undefined && this.#named.has(sequence)) this.notes.add({ span: { start, end }, sequence })
  }

  lines(lineStarts: Uint32Array): PassLines[] {
    const linesOf = (number: number) => this.notes.list.filter(note => note.sequence === number).map(({ span }) => lineOf(lineStarts, span.start))
    return this.#passes.map(({ from, to }) => ({
      // A number that the program does not have covers nothing.
      from: from === undefined ? 0 : Math.min(Infinity, ...linesOf(from)),
      to: to === undefined ? Infinity : Math.max(-1, ...linesOf(to)),
    }))
  }
}
