import type { Span } from '../../../shared/span.ts'
import type { Block } from '../nc/block.ts'
import type { Code } from '../nc/codes.ts'
import { letterIndex } from './block-words.ts'
import type { BlockWords } from './block-words.ts'
import { flowProblems } from './flow-problems.ts'
import type { ProblemCollector } from './problem-collector.ts'

/** What a block asks for beside its own motion. */
export type CallRequest =
  | { readonly kind: 'call', readonly code: string, readonly program: number, readonly repeats: number, readonly locals: ReadonlyMap<number, number> | undefined, readonly span: Span }
  /** After each block that moves, until it is ended. */
  | { readonly kind: 'modal', readonly code: string, readonly program: number, readonly repeats: number, readonly locals: ReadonlyMap<number, number>, readonly span: Span }
  | { readonly kind: 'modal-off' }
  /** NaN: behind the call. */
  | { readonly kind: 'return', readonly sequence: number, readonly span: Span }

const L = letterIndex('L'), P = letterIndex('P')

/** The call that a code of the block asks for; undefined where it names no program that is known. `lose`: nobody knows where the axes stand after it. */
export function callRequest(code: Code, words: BlockWords, problems: ProblemCollector, lose: () => void): CallRequest | undefined {
  const span = words.codeSpan(code), program = words.value(P)
  if (!words.has(P)) {
    problems.tell({ ...flowProblems.callWithoutNumber(code.code), span })
    return undefined
  }
  if (Number.isNaN(program)) {
    problems.tell({ ...flowProblems.unknownProgram(code.code), span })
    lose()
    return undefined
  }
  const repeats = words.has(L) ? Math.max(0, Math.floor(words.value(L))) : 1
  const locals = code.effect === 'call' ? undefined : macroLocals(words.block, words.firstArgument)
  const what = { code: code.code, program, repeats: Number.isNaN(repeats) ? 1 : repeats, span: words.span(P) }
  return code.effect === 'macro-modal' ? { kind: 'modal', ...what, locals: locals ?? new Map<number, number>() } : { kind: 'call', ...what, locals }
}

/** Local variables of the letters of a macro call. Common practice. */
const localOf: Readonly<Record<string, number>> = {
  A: 1, B: 2, C: 3, I: 4, J: 5, K: 6, D: 7, E: 8, F: 9, H: 11, M: 13, Q: 17, R: 18, S: 19, T: 20, U: 21, V: 22, W: 23, X: 24, Y: 25, Z: 26,
}

/** A macro call's words as local variables. Where I, J or K stand more than once, they fill #4 to #33 in threes. Common practice. */
function macroLocals(block: Block, first: number): Map<number, number> {
  const locals = new Map<number, number>()
  let triple = -1, lastPlace = 3
  for (let i = first; i < block.count; i++) {
    const letter = String.fromCharCode(block.letters[i] ?? 32), value = block.values[i] ?? Number.NaN
    const place = 'IJK'.indexOf(letter)
    if (place >= 0) {
      if (place <= lastPlace) triple++
      lastPlace = place
      const index = 4 + triple * 3 + place
      if (index <= 33) locals.set(index, value)
      continue
    }
    const index = localOf[letter]
    if (index !== undefined) locals.set(index, value)
  }
  return locals
}
