import type { Span } from '../../../shared/span.ts'
import type { Block } from '../nc/block.ts'
import { blockSpan } from '../nc/words.ts'
import type { Asker } from './motion-maker.ts'

/** The block in hand as what asks for a motion; its span is only worked out when somebody has to be told. */
export class BlockAsker implements Asker {
  line = 0
  block: Block | undefined

  get span(): Span {
    return this.block === undefined ? { start: 0, end: 0 } : blockSpan(this.block)
  }
}
