import { lineSpan } from './line-index.ts'

// Where jumps, loops and calls go inside one text: worked out when the first of them is met.

export interface SequencePlace {
  readonly line: number
  /** Another line of the same program with the same number, or -1. */
  readonly double: number
}

const heading = /^[ \t]*(?:\/\d?[ \t]*)?(?:[O:][ \t]*(\d{1,9})(?!\d))?[ \t]*(?:N[ \t]*(\d{1,9})(?!\d))?/i
const loopWord = /(DO|END)[ \t]*(\d{1,4})(?![\d.])/gi

/** The targets of one text. A program goes from its O to the next one. */
export class FlowIndex {
  readonly #programs = new Map<number, number>()
  readonly #programLines: number[] = [0]
  readonly #sequences: { readonly number: number, readonly line: number }[] = []
  readonly #loopEnd = new Map<number, number>()
  readonly #loopStart = new Map<number, number>()
  readonly #bySection = new Map<number, Map<number, SequencePlace>>()

  constructor(text: string, lineStarts: Uint32Array) {
    const open: { readonly number: number, readonly line: number }[] = []
    for (let line = 0; line < lineStarts.length - 1; line++) {
      const { start, end } = lineSpan(lineStarts, text, line)
      const found = heading.exec(text.slice(start, Math.min(end, start + 80)))
      if (found?.[1] !== undefined) {
        const number = Number(found[1])
        if (!this.#programs.has(number)) this.#programs.set(number, line)
        if (line > 0) this.#programLines.push(line)
        open.length = 0
      }
      if (found?.[2] !== undefined) this.#sequences.push({ number: Number(found[2]), line })
      const body = text.slice(start, Math.min(end, start + 2000))
      if (/DO|END/i.test(body)) this.#addLoops(body.replace(/\([^)]*\)/g, ' '), line, open)
    }
  }

  /** Line of the program with the O number. */
  program(number: number): number | undefined {
    return this.#programs.get(number)
  }

  /** The block N `number` of the program that `from` is a line of. */
  sequence(number: number, from: number): SequencePlace | undefined {
    const section = this.#sectionOf(from)
    let places = this.#bySection.get(section)
    if (places === undefined) {
      this.#bySection.set(section, places = new Map<number, SequencePlace>())
      for (const each of this.#sequences) {
        if (this.#sectionOf(each.line) !== section) continue
        const known = places.get(each.number)
        places.set(each.number, known === undefined ? { line: each.line, double: -1 } : { line: known.line, double: each.line })
      }
    }
    return places.get(number)
  }

  /** Line of the END that belongs to the loop's head on `line`. */
  loopEnd(line: number): number | undefined {
    return this.#loopEnd.get(line)
  }

  /** Line of the head that belongs to the END on `line`. */
  loopStart(line: number): number | undefined {
    return this.#loopStart.get(line)
  }

  #addLoops(body: string, line: number, open: { readonly number: number, readonly line: number }[]): void {
    for (const [, word = '', digits = ''] of body.matchAll(loopWord)) {
      const number = Number(digits)
      if (word.toUpperCase() === 'DO') {
        open.push({ number, line })
        continue
      }
      const at = open.findLastIndex(each => each.number === number)
      const head = open[at]
      if (head === undefined) continue
      open.length = at
      this.#loopEnd.set(head.line, line)
      this.#loopStart.set(line, head.line)
    }
  }

  #sectionOf(line: number): number {
    let low = 0, high = this.#programLines.length - 1
    while (low < high) {
      const middle = (low + high + 1) >>> 1
      if ((this.#programLines[middle] ?? 0) <= line) low = middle
      else high = middle - 1
    }
    return low
  }
}
