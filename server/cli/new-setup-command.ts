import { stat } from 'node:fs/promises'
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path'
import { CalledPrograms } from '../edge/called-programs.ts'
import { filesForSheet } from '../edge/sheet-files.ts'
import { startSetup, type SetupDraft } from '../engine/service.ts'
import type { NewSetupOptions } from './arguments.ts'
import { askSetup } from './ask-setup.ts'
import { ExitCode } from './exit-codes.ts'
import { readProgram } from './read-program.ts'
import type { Terminal } from './terminal.ts'
import { outputFault, writeWhole } from './write-output.ts'

/** Starts a setup sheet from a program and says what is to be done next. */
export async function runNewSetup(options: NewSetupOptions, terminal: Terminal): Promise<ExitCode> {
  const complain = async (sentence: string) => {
    await terminal.errors.write(`toolwake: ${sentence}\n`)
    return ExitCode.unusable
  }
  const program = await readProgram(options.program, terminal)
  if (program.failure !== undefined) return complain(program.failure)
  const toOutput = options.output === '-'
  const sheet = toOutput || options.output === undefined ? besideProgram(options.program) : options.output
  const path = resolve(terminal.folder, sheet)
  if (!toOutput) {
    const fault = await outputFault(sheet, terminal.folder, [program.path])
    if (fault !== undefined) return complain(fault)
    if (!options.force && await isThere(path)) {
      return complain(`${sheet} is already there and was left as it is; --force writes over it, --output FILE writes elsewhere.`)
    }
  }
  const start = startSetup({ path: program.path, text: program.text }, namedFrom(dirname(path), program.path), filesForSheet(dirname(path), [terminal.folder]), {
    programs: new CalledPrograms(program.path, undefined).find,
  })
  const dialogue = options.blank ? undefined : terminal.openDialogue?.()
  const answers = dialogue === undefined ? {} : await askSetup(start.questions, dialogue, terminal).finally(dialogue.close)
  if (answers === undefined) {
    await terminal.errors.write('\ntoolwake: Stopped. Nothing was written.\n')
    return ExitCode.interrupted
  }
  const draft = start.draft(answers)
  if (toOutput) {
    await terminal.output.write(draft.text)
    return ExitCode.clean
  }
  const unwritten = await writeWhole(sheet, terminal.folder, draft.text, 'The setup sheet')
  if (unwritten !== undefined) return complain(unwritten)
  await terminal.errors.write(nextSteps(sheet, options, draft))
  return ExitCode.clean
}

/** The sheet of one program has its base name. */
function besideProgram(program: string): string {
  return join(dirname(program), basename(program).replace(/\.[^.]*$/, '') + '.setup.json')
}

/** The program as its sheet is to name it: from the sheet's folder, where one way leads there. */
function namedFrom(folder: string, program: string): string {
  const way = relative(folder, program)
  return (isAbsolute(way) ? program : way).split(sep).join('/')
}

async function isThere(path: string): Promise<boolean> {
  return stat(path).then(() => true, () => false)
}

function nextSteps(sheet: string, { program, output }: NewSetupOptions, { tools, open, contradictions }: SetupDraft): string {
  const entries = tools.length === 0 ? 'no tool: the program calls none by number' : `${tools.length === 1 ? 'tool' : 'tools'} ${tools.join(', ')}`
  return [
    `toolwake: Wrote ${sheet}, with entries for ${entries}. Next:`,
    open === 0 ? '  1. Read it through: every value has been given.'
      : `  1. Fill in what is null, at each FILL IN (${open} of the questions have no answer): machine, program zero, mesh of the part, and every tool as it stands in its holder.`,
    ...contradictions.map(sentence => `     To be put right: ${sentence}`),
    `  2. Run: toolwake check ${quoted(program)}${output === undefined ? '' : ` --setup ${quoted(sheet)}`}`,
    ...open === 0 ? [] : ['     It names every value that is still missing; nothing that hangs on one is checked.'],
    '',
  ].join('\n')
}

/** As a shell takes it for one word. */
function quoted(word: string): string {
  return /^[\w./:\\-]+$/.test(word) ? word : `"${word}"`
}
