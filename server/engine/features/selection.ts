import { markAt } from '../nc/line-marks.ts'
import { readMarks } from './block-marks.ts'
import { outlineOf, type OutlineNode } from './outline.ts'
import { lineCount, lineText, type ProgramText } from './program-text.ts'

/** From (line, column) to (line, column). */
export interface Area {
  readonly line: number
  readonly from: number
  readonly lastLine: number
  readonly to: number
}

/** What is selected step by step around a cursor, the smallest first: word, block without its number, line, pass, tool, program, all. */
export function selectionsAt(program: ProgramText, line: number, column: number): Area[] {
  const { marks, text } = readMarks(program, line), mark = markAt(marks, column)
  const words = marks.filter(one => one.kind !== 'comment' && one.kind !== 'skip' && !(one.kind === 'word' && one.letter === 'N'))
  const [first] = words, last = words.at(-1)
  const areas: Area[] = [
    ...mark === undefined ? [] : [{ line, from: mark.from, lastLine: line, to: mark.to }],
    ...first === undefined || last === undefined || column < first.from || column > last.to ? [] : [{ line, from: first.from, lastLine: line, to: last.to }],
    { line, from: 0, lastLine: line, to: text.length },
    ...nodesAround(outlineOf(program), line).reverse().map(node => linesArea(program, node.first, node.last)),
    linesArea(program, 0, lineCount(program) - 1),
  ]
  // Each step holds the one before and is larger.
  return areas.filter((area, at) => at === 0 || !isSameArea(area, areas[at - 1]))
}

function nodesAround(nodes: readonly OutlineNode[], line: number): OutlineNode[] {
  const node = nodes.findLast(({ first, last }) => first <= line && last >= line)
  return node === undefined ? [] : [node, ...nodesAround(node.children, line)]
}

function linesArea(program: ProgramText, first: number, last: number): Area {
  return { line: first, from: 0, lastLine: last, to: lineText(program, last).length }
}

function isSameArea(a: Area, b: Area | undefined): boolean {
  return b !== undefined && a.line === b.line && a.from === b.from && a.lastLine === b.lastLine && a.to === b.to
}
