import { Range, Selection, Uri, window, workspace, type TextDocument } from 'vscode'
import type { SetupAnswers } from '../../shared/setup-questions.ts'
import { activeProgram } from './active-program.ts'
import { askSetup } from './ask-setup.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'
import { isThere } from './is-there.ts'

/** Starts a setup sheet from the program: what it shows is written down, what only people know is asked, or left to be filled in. */
export function setupSheetCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.startSetupSheet': async (given, known) => {
      const program = typeof given === 'string' ? await workspace.openTextDocument(Uri.parse(given)) : activeProgram()
      if (program === undefined || await isTaken(program)) return
      const uri = program.uri.toString()
      const answers = typeof known === 'object' ? known as SetupAnswers : await askSetup((await server.ask('toolwake/setupQuestions', { uri })).questions)
      if (answers === undefined) return
      const { text, tools } = await server.ask('toolwake/draftSetup', { uri, answers })
      const sheet = await placed(program, text)
      if (sheet === undefined) return
      const count = await showBlanks(sheet)
      const entries = tools.length === 0 ? 'The program calls no tool by number, so none has an entry yet.' : `It has an entry for ${tools.length === 1 ? 'tool' : 'tools'} ${tools.join(', ')}.`
      const blanks = count === 0 ? 'Every value has been given: read it through.' : `${count === 1 ? '1 value is' : `${count} values are`} still null, each marked FILL IN: nothing that hangs on one is checked until it stands there.`
      void window.showInformationMessage(`The setup sheet is started. ${entries} ${blanks}`)
    },
  }
}

/** A sheet that is there already is never written over. A program that lies nowhere has its sheet in a new tab. */
async function placed(program: TextDocument, text: string): Promise<TextDocument | undefined> {
  if (program.isUntitled) return workspace.openTextDocument({ language: 'jsonc', content: text })
  if (await isTaken(program)) return undefined
  const path = besideProgram(program)
  await workspace.fs.writeFile(path, new TextEncoder().encode(text))
  return workspace.openTextDocument(path)
}

/** Whether the program has a sheet of its name already; that is said before anything is asked. */
async function isTaken(program: TextDocument): Promise<boolean> {
  const path = besideProgram(program)
  if (program.isUntitled || !await isThere(path)) return false
  const open = 'Open It'
  void window.showWarningMessage(`${path.path.split('/').at(-1)} is already there and was left as it is.`, open).then(answer => {
    if (answer === open) void window.showTextDocument(path)
  })
  return true
}

function besideProgram({ uri }: TextDocument): Uri {
  const name = uri.path.split('/').at(-1) ?? ''
  return Uri.joinPath(uri, '..', `${name.replace(/\.[^.]*$/, '')}.setup.json`)
}

/** Shows the sheet with its first blank selected; how many there are. */
async function showBlanks(sheet: TextDocument): Promise<number> {
  const editor = await window.showTextDocument(sheet)
  const blanks = [...sheet.getText().matchAll(/(?<=^(?:[^/\n]|\/(?!\/))*[:[]\s*)null/gm)]
  const [first] = blanks
  if (first !== undefined) {
    const range = new Range(sheet.positionAt(first.index), sheet.positionAt(first.index + 4))
    editor.selection = new Selection(range.start, range.end)
    editor.revealRange(range)
  }
  return blanks.length
}
