import type { Problem } from '../../shared/problem.ts'
import { BlockReader } from '../../server/engine/nc/block-reader.ts'
import type { Control } from '../../shared/machine.ts'
import { WordFlag } from '../../server/engine/nc/block.ts'

export interface ReadResult {
  /** One string a block: `120: /N10 G1 X12.5 Y? (comment)`; `?` stands for a value that is not known. */
  readonly blocks: readonly string[]
  /** `rule "text"` for each problem. */
  readonly problems: readonly string[]
  readonly raw: readonly Problem[]
}

/** Reads a whole text and prints its blocks shortly. */
export function readBlocks(text: string, wholeNumber: Control['wholeNumber'] = { as: 'units' }): ReadResult {
  const raw: Problem[] = []
  const reader = new BlockReader(text, { wholeNumber }, problem => raw.push(problem))
  const blocks: string[] = []
  for (let block = reader.next(); block !== undefined; block = reader.next()) {
    const parts: string[] = []
    if (block.percent) parts.push('%')
    if (block.sequence >= 0) parts.push(`N${block.sequence}`)
    for (let i = 0; i < block.count; i++) {
      const isUnknown = (block.wordFlags[i] & WordFlag.unknown) !== 0
      parts.push(`${String.fromCharCode(block.letters[i])}${isUnknown ? '?' : block.values[i]}`)
    }
    for (const { start, end } of block.comments) parts.push(text.slice(start, end))
    blocks.push(`${block.line + 1}: ${block.skip ? '/' : ''}${parts.join(' ')}`)
  }
  return { blocks, raw, problems: raw.map(problem => `${problem.rule} "${text.slice(problem.span.start, problem.span.end)}"`) }
}
