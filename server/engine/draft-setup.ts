import { buildKinematics } from '../../shared/kinematics.ts'
import { isAsked, type SetupAnswers, type SetupQuestion } from '../../shared/setup-questions.ts'
import { ProgramSurveyor, type ProgramSurvey } from './features/program-survey.ts'
import { setupDraft } from './features/setup-draft.ts'
import { setupQuestions, type SheetFiles } from './features/setup-questions.ts'
import { interpret } from './machine/interpreter.ts'
import type { ReadOptions, TextFile } from './read-program.ts'
import { builtInMachine } from './setup/built-in-machine.ts'
import { readSetup } from './setup/read-setup.ts'

/** What the person at the keyboard is told about a sheet that was started. */
export interface SetupDraft {
  /** The sheet's text. */
  readonly text: string
  /** Numbers of the tools it has entries for. */
  readonly tools: readonly number[]
  /** How many questions have not been answered. */
  readonly open: number
  /** What does not hold together in the answers, as sentences. */
  readonly contradictions: readonly string[]
}

/** A program looked at once, from which sheets can be started with more and more answers. */
export interface SetupStart {
  readonly questions: readonly SetupQuestion[]
  readonly draft: (answers?: SetupAnswers) => SetupDraft
}

/**
 * Starts a setup sheet from a program: its tools, offsets, unit and extents, with every value that
 * only people know left as null until it is answered. `programName`: how the sheet is to name the program, from its own folder.
 */
export function startSetup(file: TextFile, programName: string, files: SheetFiles, options: Pick<ReadOptions, 'programs' | 'cancellation'> = {}): SetupStart {
  const survey = surveyProgram(file, options), questions = setupQuestions(survey, files)
  return {
    questions,
    draft: (answers = {}) => {
      const text = setupDraft(survey, { program: programName }, answers)
      return {
        text,
        tools: survey.tools.map(tool => tool.number),
        open: questions.filter(question => isAsked(question, answers) && answers[question.key] === undefined).length,
        contradictions: readSetup({ path: '', text }).problems.flatMap(({ rule, span, message }) => rule === 'setup-error' && text.slice(span.start, span.end) !== 'null' ? [message] : []),
      }
    },
  }
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
