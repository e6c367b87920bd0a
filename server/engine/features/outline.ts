import type { Pass } from '../../../shared/setup.ts'
import { commentText, digitsPattern, hasEffect, readMarks, wordOf, type BlockMarks } from './block-marks.ts'
import { linesWith, type Place, type ProgramText } from './program-text.ts'
import { sectionsOf, type Section } from './sections.ts'

/** What a program is made of, for the list of symbols, for folding and for everything that goes tool by tool. */
export interface OutlineNode {
  readonly kind: 'program' | 'tool' | 'pass' | 'heading'
  readonly name: string
  readonly detail: string
  /** First and last line, both included. */
  readonly first: number
  readonly last: number
  /** The words that name it. */
  readonly place: Place
  /** The tool of a `tool`. */
  readonly tool?: number
  readonly children: readonly OutlineNode[]
}

type Open = { -readonly [Key in keyof Omit<OutlineNode, 'children'>]: OutlineNode[Key] } & { children: Open[] }

/** Lines that a tool, a tool change or a comment can stand in. */
const worthALook = /T|M[ \t]*0*6(?!\d)|[(;]/i

/** The programs, in them the tools, in them the passes of the sheet and the headings that comments make. */
export function outlineOf(program: ProgramText): OutlineNode[] {
  const sections = sectionsOf(program)
  const roots = sections.map((section): Open => ({
    kind: 'program', name: section.number === undefined ? 'Program' : `O${section.number}`, detail: '',
    first: section.first, last: section.last, place: { line: section.first, from: 0, to: 0 }, children: [],
  }))
  let selected: number | undefined, tool: Open | undefined, at = -1, lastComment = -2
  for (const line of linesWith(program, worthALook)) {
    while (at + 1 < sections.length && line >= (sections[at + 1]?.first ?? Infinity)) {
      at++
      tool = undefined
    }
    const block = readMarks(program, line), root = roots[at]
    if (root === undefined) continue
    selected = wordOf(block, 'T')?.value ?? selected
    if (hasEffect(block, 'tool-change')) {
      if (tool !== undefined) tool.last = line - 1
      root.children.push(tool = toolNode(program, block, selected, sections[at]))
      continue
    }
    const heading = headingOf(block)
    if (heading === undefined) continue
    if (line !== lastComment + 1) addHeading(tool ?? root, heading)
    lastComment = line
  }
  for (const root of roots) {
    nameProgram(program, root)
    for (const pass of program.setup?.passes ?? []) addPass(program, root, pass)
    closeAll(root)
  }
  // A text without program numbers is not worth a level of its own.
  return roots.length === 1 && sections[0]?.number === undefined ? roots[0]?.children ?? [] : roots
}

/** Every tool of an outline, in order. */
export function toolsOf(nodes: readonly OutlineNode[]): OutlineNode[] {
  return nodes.flatMap(node => node.kind === 'tool' ? [node] : toolsOf(node.children))
}

function toolNode({ setup }: ProgramText, block: BlockMarks, number: number | undefined, section: Section | undefined): Open {
  const change = block.codes.find(({ code }) => code.effect === 'tool-change')?.mark, word = wordOf(block, 'T') ?? change
  const named = [...setup?.tools ?? [], ...setup?.toolsSetAside ?? []].find(tool => tool.number === number)
  return {
    kind: 'tool', name: number === undefined ? 'Tool change' : `T${number}`, detail: named?.name ?? '', tool: number,
    first: block.line, last: section?.last ?? block.line, place: { line: block.line, from: word?.from ?? 0, to: word?.to ?? 0 }, children: [],
  }
}

/** A line of nothing but comments heads what follows; comments that accept a finding do not. */
function headingOf(block: BlockMarks): Open | undefined {
  const [first] = block.marks.filter(mark => mark.kind === 'comment')
  const isAlone = block.marks.every(mark => mark.kind === 'comment' || mark.kind === 'skip' || mark.kind === 'word' && mark.letter === 'N')
  if (first === undefined || !isAlone) return undefined
  const name = commentText(block.text, first)
  if (name === '' || /^ACCEPT\b/i.test(name)) return undefined
  return { kind: 'heading', name, detail: '', first: block.line, last: block.line, place: { line: block.line, from: first.from, to: first.to }, children: [] }
}

function addHeading(parent: Open, heading: Open): void {
  const before = parent.children.findLast(child => child.kind === 'heading')
  if (before !== undefined) before.last = heading.first - 1
  parent.children.push({ ...heading, last: parent.last })
}

/** The head of a program, with the comment that names it. */
function nameProgram(program: ProgramText, root: Open): void {
  const head = sectionHead(program, root)
  if (head === undefined) return
  const word = wordOf(head, 'O'), comment = head.marks.find(mark => mark.kind === 'comment')
  if (word !== undefined) root.place = { line: head.line, from: word.from, to: word.to }
  if (comment !== undefined) root.detail = commentText(head.text, comment)
}

function sectionHead(program: ProgramText, { first, last }: Pick<OutlineNode, 'first' | 'last'>): BlockMarks | undefined {
  for (const line of linesWith(program, /^[ \t]*(?:\/\d?[ \t]*)?[O:][ \t]*\d/im)) {
    if (line >= first && line <= last) return readMarks(program, line)
    if (line > last) break
  }
  return undefined
}

/** A pass of the sheet from one block to another, in the tool it lies in. */
function addPass(program: ProgramText, root: Open, { from, to, limits }: Pass): void {
  if (from === undefined) return
  const start = lineOfSequence(program, from, root), end = to === undefined ? root.last : lineOfSequence(program, to, root)
  if (start === undefined || end === undefined || end < start) return
  const parent = root.children.findLast(child => child.kind === 'tool' && child.first <= start) ?? root
  const changed = Object.entries({ ...limits, clearance: undefined, ...limits.clearance })
    .flatMap(([name, value]) => typeof value === 'number' ? [`${name} ${Number(value.toFixed(4))}`] : [])
  const word = wordOf(readMarks(program, start), 'N')
  parent.children.push({
    kind: 'pass', name: `N${from} to ${to === undefined ? 'the end' : `N${to}`}`, detail: ['pass of the setup sheet', ...changed].join(', '),
    first: start, last: Math.min(end, parent.last), place: { line: start, from: word?.from ?? 0, to: word?.to ?? 0 }, children: [],
  })
}

/** The line of the block N within [first, last]. */
export function lineOfSequence(program: ProgramText, number: number, { first, last }: Pick<Section, 'first' | 'last'>): number | undefined {
  for (const line of linesWith(program, new RegExp(`N[ \\t]*${digitsPattern(number)}`, 'i'))) {
    if (line >= first && line <= last && wordOf(readMarks(program, line), 'N')?.value === number) return line
  }
  return undefined
}

/** Children end where their parent does, and stand in the order of the text. */
function closeAll(node: Open): void {
  node.children.sort((a, b) => a.first - b.first || b.last - a.last)
  for (const child of node.children) {
    child.last = Math.max(child.first, Math.min(child.last, node.last))
    // A heading before the first tool ends where that begins.
    const next = child.kind === 'heading' ? node.children.find(other => other.kind === 'tool' && other.first > child.first) : undefined
    if (next !== undefined) child.last = Math.max(child.first, Math.min(child.last, next.first - 1))
    closeAll(child)
  }
}
