import { buildKinematics } from '../../shared/kinematics.ts'
import { ProgramSurveyor, type ProgramSurvey } from './features/program-survey.ts'
import { setupDraft } from './features/setup-draft.ts'
import { interpret } from './machine/interpreter.ts'
import type { ReadOptions, TextFile } from './read-program.ts'
import { builtInMachine } from './setup/built-in-machine.ts'

/** What the person at the keyboard is told about a sheet that was started. */
export interface SetupDraft {
  /** The sheet's text. */
  readonly text: string
  /** Numbers of the tools it has entries for. */
  readonly tools: readonly number[]
}

/**
 * Starts a setup sheet from a program: its tools, offsets, unit and extents, with every value that
 * only people know left as null. `programName`: how the sheet is to name the program, from its own folder.
 */
export function draftSetup(file: TextFile, programName: string, options: Pick<ReadOptions, 'programs' | 'cancellation'> = {}): SetupDraft {
  const survey = surveyProgram(file, options)
  return { text: setupDraft(survey, { program: programName }), tools: survey.tools.map(tool => tool.number) }
}

/** What a program shows of itself where no sheet is asked. */
export function surveyProgram(file: TextFile, options: Pick<ReadOptions, 'programs' | 'cancellation'> = {}): ProgramSurvey {
  const surveyor = new ProgramSurveyor(file.text)
  const run = interpret(file.text, {
    machine: builtInMachine,
    setup: undefined,
    kinematics: buildKinematics(builtInMachine, builtInMachine.axes.map(() => 0)),
    report: () => undefined,
    onBlock: surveyor.see,
    ...options,
  })
  return surveyor.finish((run.toolpath.calls ?? []).some(call => call.target !== undefined))
}
