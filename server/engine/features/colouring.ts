import { codeOf } from '../machine/dialect.ts'
import { dialectOf } from './block-marks.ts'
import { marksOf, type Mark } from '../nc/line-marks.ts'
import { lineText, type Place, type ProgramText } from './program-text.ts'

/** Kinds of words in the order of the legend; names are those of the protocol (LSP 3.17, semantic tokens). */
export const tokenTypes = ['keyword', 'macro', 'property', 'parameter', 'variable', 'decorator', 'function', 'enumMember'] as const
export const tokenModifiers = ['declaration', 'rapid', 'unknown'] as const

export interface Token extends Place {
  readonly type: typeof tokenTypes[number]
  readonly modifiers: readonly typeof tokenModifiers[number][]
}

/**
 * What only the machine file can tell of the words of lines [first, last]: which codes this control knows, which letters are
 * axes and which of them turn. Numbers, comments and expressions are coloured by the grammar, which needs no machine.
 */
export function tokensOf(program: ProgramText, first: number, last: number): Token[] {
  const tokens: Token[] = []
  for (let line = Math.max(0, first); line <= Math.min(last, program.lineStarts.length - 2); line++) {
    for (const mark of marksOf(lineText(program, line))) {
      const token = tokenOf(program, mark)
      if (token !== undefined) tokens.push({ ...token, line })
    }
  }
  return tokens
}

function tokenOf({ machine }: ProgramText, mark: Mark): Omit<Token, 'line'> | undefined {
  const { from, to } = mark
  if (mark.kind === 'variable') return { from, to, type: 'variable', modifiers: mark.isSet ? ['declaration'] : [] }
  if (mark.kind === 'keyword') return { from, to, type: 'keyword', modifiers: [] }
  if (mark.kind !== 'word') return undefined
  const { letter, value } = mark
  if (letter === 'N') return { from, to, type: 'decorator', modifiers: ['declaration'] }
  if (letter === 'O') return { from, to, type: 'function', modifiers: ['declaration'] }
  if (letter === 'G' || letter === 'M') {
    const code = codeOf(dialectOf(machine.control), letter, value)
    const modifiers = code === undefined ? ['unknown'] as const : code.code === 'G0' ? ['rapid'] as const : []
    return { from, to, type: letter === 'G' ? 'keyword' : 'macro', modifiers }
  }
  const axis = machine.axes.find(one => one.letter === letter)
  if (axis !== undefined) return { from, to: from + 1, type: axis.kind === 'rotary' ? 'parameter' : 'property', modifiers: [] }
  return 'THDFS'.includes(letter) ? { from, to: from + 1, type: 'enumMember', modifiers: [] } : undefined
}
