import type { Report } from '../../../shared/problem.ts'
import { BlockReader } from '../nc/block-reader.ts'
import type { ReaderOptions } from '../nc/block-reader.ts'
import { FlowIndex } from '../nc/flow-index.ts'
import { lineStartsOf } from '../nc/line-index.ts'

/** A program kept in a file of its own, or in one sentence why its file cannot be read. */
export type ProgramFile = { readonly path: string, readonly text: string } | { readonly path: string, readonly failure: string }

/** A text in execution: the program, or a file that it calls. */
export class ProgramSource {
  /** The number it is called by; -1 for the program itself. */
  readonly number: number
  /** Undefined for the program itself. */
  readonly path: string | undefined
  readonly text: string
  readonly lineStarts: Uint32Array
  readonly reader: BlockReader
  #index: FlowIndex | undefined

  constructor(text: string, number: number, path: string | undefined, options: ReaderOptions, report: Report) {
    this.text = text
    this.number = number
    this.path = path
    this.lineStarts = options.lineStarts ?? lineStartsOf(text)
    this.reader = new BlockReader(text, { ...options, lineStarts: this.lineStarts }, report)
  }

  get index(): FlowIndex {
    return this.#index ??= new FlowIndex(this.text, this.lineStarts)
  }
}
