import { components, type Component, type Finding } from '../../shared/finding.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import type { ComparedPath } from './compare/compared-path.ts'
import { comparePaths, type PathComparison } from './compare/compare-paths.ts'
import { findingKeys, findingStates, type FindingStates } from './compare/finding-states.ts'
import { MotionStates } from './compare/motion-states.ts'
import type { LineNames } from './compare/stretches.ts'
import { interpret } from './machine/interpreter.ts'
import { bareBlock } from './nc/bare-block.ts'
import { lineOf, lineSpan, lineStartsOf } from './nc/line-index.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'
import type { CheckResult, ToolSummary, WorstFigure } from './summarise.ts'

/** The worst figure of a component of a tool in both programs. */
export interface ClearanceChange {
  readonly tool: number
  readonly component: Component
  readonly old?: WorstFigure
  readonly new?: WorstFigure
  /** `same`: the proven intervals meet. `one-sided`: only one of the programs has a figure. */
  readonly change: 'nearer' | 'farther' | 'same' | 'one-sided'
}

/** What an edit has changed, as plain data. */
export interface ProgramComparison extends PathComparison {
  readonly isSameText: boolean
  readonly clearances: readonly ClearanceChange[]
  /** Estimated machine time of both, s. */
  readonly seconds: { readonly old: number, readonly new: number }
  readonly findings: FindingStates<Finding>
}

/** Compares two checked programs of one scene: in motion, in what is in force, in clearances, time and findings. */
export function comparePrograms(old: CheckResult, now: CheckResult, scene: Scene): ProgramComparison {
  const known = new Map([...findingKeys(old.findings, blockOf(old.program))].map(([finding, key]) => [key, finding]))
  return {
    ...compareMotions(old.program, now.program, scene),
    isSameText: old.program.text === now.program.text,
    clearances: clearanceChanges(old.tools, now.tools),
    seconds: { old: old.seconds, new: now.seconds },
    findings: findingStates(findingKeys(now.findings, blockOf(now.program)), known),
  }
}

/** What differs in motion alone; neither program need have been searched. */
export function compareMotions(old: ReadProgram, now: ReadProgram, scene: Scene): PathComparison {
  return comparePaths(pathOf(old, scene), pathOf(now, scene), { old: namesOf(old), new: namesOf(now) })
}

/** Runs the program once more, for what is in force at each motion. */
function pathOf(program: ReadProgram, { machine, setup }: Scene): ComparedPath {
  const states = new MotionStates()
  const { text, lineStarts, toolpath, kinematics } = program
  interpret(text, {
    machine, setup, kinematics, report: () => undefined, programs: program.programs,
    onMotions: (state, line, first, end) => states.see(state, line, first, end),
  })
  return { text, lineStarts, toolpath, kinematics, lengths: Float64Array.from(setup?.tools ?? [], gaugeLength), states }
}

function namesOf(program: ReadProgram): LineNames {
  const { text, lineStarts } = program
  return {
    words: wordsOf(program),
    number: line => {
      const { start, end } = lineSpan(lineStarts, text, line)
      return /^\s*\/?\d?\s*(N\s*\d+)/i.exec(text.slice(start, end))?.[1]?.replace(/\s/g, '').toUpperCase() ?? `line ${line}`
    },
  }
}

function wordsOf({ text, lineStarts }: ReadProgram): (line: number) => string {
  return line => {
    const { start, end } = lineSpan(lineStarts, text, line)
    return bareBlock(text.slice(start, end))
  }
}

/** The words of the block a finding stands on, in the program or a file it calls. A skip put before them leaves them the same block. */
function blockOf(program: ReadProgram): (finding: Finding) => string {
  const words = wordsOf(program), own = (line: number) => withoutSkip(words(line)), starts = new Map<string, Uint32Array>()
  return ({ file, span }) => {
    if (file === undefined || file === program.path) return own(lineOf(program.lineStarts, span.start))
    const text = program.called?.get(file)
    // Sheet, machine file and meshes have no blocks: rule and message place tell their findings apart.
    if (text === undefined) return `${file}:${span.start}`
    const lineStarts = starts.get(file) ?? lineStartsOf(text)
    starts.set(file, lineStarts)
    const line = lineSpan(lineStarts, text, lineOf(lineStarts, span.start))
    return withoutSkip(bareBlock(text.slice(line.start, line.end)))
  }
}

function withoutSkip(block: string): string {
  return block.replace(/^\/\d?/, '')
}

function clearanceChanges(old: readonly ToolSummary[], now: readonly ToolSummary[]): ClearanceChange[] {
  const numbers = [...new Set([...old, ...now].map(tool => tool.number))].sort((a, b) => a - b)
  return numbers.flatMap(tool => components.flatMap((component): ClearanceChange[] => {
    const before = figureOf(old, tool, component), after = figureOf(now, tool, component)
    if (before === undefined && after === undefined) return []
    return [{ tool, component, ...before === undefined ? {} : { old: before }, ...after === undefined ? {} : { new: after }, change: changeOf(before, after) }]
  }))
}

function figureOf(tools: readonly ToolSummary[], number: number, component: Component): WorstFigure | undefined {
  const figure = tools.find(tool => tool.number === number)?.worst[component]
  return figure === undefined || !Number.isFinite(figure.value) ? undefined : figure
}

function changeOf(before: WorstFigure | undefined, after: WorstFigure | undefined): ClearanceChange['change'] {
  if (before === undefined || after === undefined) return 'one-sided'
  if (Math.abs(after.value - before.value) <= after.bound + before.bound) return 'same'
  return after.value < before.value ? 'nearer' : 'farther'
}
