import { components, type Finding } from '../../shared/finding.ts'
import type { ToolOutline } from '../../shared/protocol/scene-messages.ts'
import type { Setup } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { buildAssembly } from './contact/assembly.ts'
import { motionsByLine } from './features/motions-by-line.ts'
import { pathRun, type PathRun } from './features/path-run.ts'
import type { ProgramView } from './features/program-view.ts'
import { rulePage } from './lint/rule-page.ts'
import { fixOf } from './fix-finding.ts'
import { ruleOf } from './lint/all-rules.ts'
import type { Fix } from './lint/fix.ts'
import { needsSearch } from './lint/rule.ts'
import { applyWaivers } from './lint/waivers.ts'
import { interpret, type Interpretation } from './machine/interpreter.ts'
import type { ReadProgram, Scene } from './service.ts'
import { rulesOfStock } from './stock-findings.ts'

// The second half of the engine's table of contents: what editor and viewer ask beside the findings.

export { acceptanceOf, type Acceptance } from './features/acceptance.ts'
export { poseAfterLine, type BlockPose } from './features/block-pose.ts'
export { callEndAt, callsFrom, callsOf, callsTo, type Call, type CallEnd } from './features/calls.ts'
export { clearancesOf, type Clearance, type MotionFigures } from './features/clearance-text.ts'
export { clearanceMarks, limitsOf } from './clearance-marks.ts'
export { signatureAt, type Signature } from './features/code-signature.ts'
export { tokenModifiers, tokensOf, tokenTypes, type Token } from './features/colouring.ts'
export { completionAt, type Completion, type Offer } from './features/completion.ts'
export { definitionsAt, referencesAt, type Definition } from './features/definitions.ts'
export { sheetAddition, type SheetAddition } from './extend-sheet.ts'
export { fixOf, safeEdits } from './fix-finding.ts'
export type { Fix } from './lint/fix.ts'
export { foldsOf, type Fold } from './features/folding.ts'
export { hintsOf, type Hint, type HintChoice } from './features/hints.ts'
export { hoverAt, type ContactView, type HoverText } from './features/hover.ts'
export { linksOf, type Link } from './features/links.ts'
export { motionsOfLine } from './features/motions-by-line.ts'
export { outlineOf, type OutlineNode } from './features/outline.ts'
export type { PathRun } from './features/path-run.ts'
export type { Place, ProgramText } from './features/program-text.ts'
export { GrowingFaults, type InheritedRun } from './contact/growing-faults.ts'
export { unchangedMotions } from './contact/unchanged-motions.ts'
export type { ProgramView } from './features/program-view.ts'
export { heightsOver } from './result/height-figures.ts'
export { leftByMotions, type LeftByMotion } from './result/left-by-motion.ts'
export { heightEpsilon, heightReach } from './geometry/tolerance.ts'
export { renameableAt, renameAt, type RenameAnswer, type TextChange } from './features/rename.ts'
export { renumber, type Numbering } from './features/renumber.ts'
export { selectionsAt, type Area } from './features/selection.ts'
export { fileLinks } from './setup/file-links.ts'
export type { SheetEdit } from './features/sheet-numbers.ts'
export { limitChange } from './set-limit.ts'
export { sheetToolAt, toolWords, type HoverLook } from './tool-hover.ts'
export { tidyChanges } from './features/tidy.ts'
export { lensesOf, type Lens } from './features/tool-lens.ts'
export { builtInMachine } from './setup/built-in-machine.ts'

/** The program as hover and viewer look at it. */
export function viewProgram(program: ReadProgram, { machine, setup }: Pick<Scene, 'machine' | 'setup'>): ProgramView {
  const { text, lineStarts, toolpath, kinematics } = program
  let run = program.run
  const whole = (): Interpretation => run ??= interpret(text, { machine, setup, kinematics, report: () => {}, programs: program.programs })
  return {
    text,
    lineStarts,
    machine,
    setup,
    toolpath,
    kinematics,
    motions: motionsByLine(toolpath, lineStarts.length - 1),
    lengths: gaugeLengths(setup),
    stateAt: line => whole().stateAt(line),
    replay: (first, last, most, show) => whole().replay(first, last, most, show),
  }
}

/** The tool point's path for the eye. */
export function drawPath({ toolpath, kinematics, lengths }: ProgramView): PathRun {
  return pathRun(toolpath, kinematics, lengths)
}

/** The assemblies of a sheet as outlines, in the order of its tools. */
export function toolOutlines(setup: Setup | undefined): ToolOutline[] {
  return (setup?.tools ?? []).map(tool => ({
    number: tool.number,
    name: tool.name,
    parts: buildAssembly(tool).shapes.flatMap(({ drawn }, i) => {
      const component = components[i]
      return component === undefined ? [] : drawn.map(outline => ({ component, outline }))
    }),
  }))
}

/** The sure fixes of findings, for those who do not look at the program further. */
export function fixesOf(program: ReadProgram, findings: readonly Finding[]): Map<Finding, Fix> {
  const record = program.run?.record
  if (record === undefined) return new Map()
  const view = viewProgram(program, record)
  return new Map(findings.flatMap(finding => {
    const fix = fixOf(view, finding)
    return fix === undefined ? [] : [[finding, fix]]
  }))
}

/** The page of a rule as Markdown; undefined where there is no such rule. */
export function rulePageOf(id: string): string | undefined {
  const rule = ruleOf(id)
  return rule === undefined ? undefined : rulePage(rule)
}

/** How far what looks at the motions has come. */
interface SearchState { readonly complete: boolean, readonly measured: boolean, readonly isStockPending: boolean }

/**
 * The program's own findings and those of search and stock under the reviewer's comments. `complete`: the
 * search has come to its end, so that a comment that covers none of its findings can be told. `measured`: so has what is
 * left on the part. `isStockPending`: the stock has not, and what it could still tell is left undecided.
 */
export function findingsUnderWaivers(program: ReadProgram, found: readonly Finding[], { complete, measured, isStockPending }: SearchState): Finding[] {
  const decided = (id: string) => {
    const rule = ruleOf(id)
    if (rule === undefined) return true
    if (rule.group === 'result') return measured
    return !(isStockPending && rulesOfStock.has(id)) && (complete || !needsSearch(rule))
  }
  return applyWaivers([...program.findings, ...found], program.waivers, decided)
}

function gaugeLengths(setup: Setup | undefined): Float64Array {
  return Float64Array.from(setup?.tools ?? [], gaugeLength)
}
