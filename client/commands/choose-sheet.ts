import { relative } from 'node:path'
import { ConfigurationTarget, Uri, window, workspace, type QuickPickItem, type TextDocument } from 'vscode'
import type { ServerLink } from '../server-link.ts'
import { activeProgram } from './active-program.ts'
import type { CommandOptions, CommandTable } from './command-table.ts'

/** Most sheets of the workspace that are listed besides those that serve the program. */
const MOST_SHEETS = 200

interface SheetItem extends QuickPickItem {
  /** From the folder of the workspace on, with forward slashes; undefined: the sheet that is found, whichever it is. */
  readonly sheet: string | undefined
}

/** Chooses the sheet of one program where several would serve it, and keeps the choice in the settings of its folder. */
export function chooseSheetCommands({ server }: CommandOptions): CommandTable {
  return {
    'toolwake.chooseSetupSheet': async (uri, given) => {
      const program = typeof uri === 'string' ? await workspace.openTextDocument(Uri.parse(uri)) : activeProgram()
      if (program === undefined) return
      const folder = workspace.getWorkspaceFolder(program.uri)
      if (folder === undefined) {
        void window.showInformationMessage('A choice is kept in the settings of a folder: open the folder of this program first, or name the program in the "programs" of one sheet only.')
        return
      }
      const fromFolder = (path: string) => relative(folder.uri.fsPath, path).replaceAll('\\', '/')
      const sheet = typeof given === 'string' ? { sheet: given } : await askSheet(server, program, fromFolder)
      if (sheet !== undefined) await keepChoice(program.uri, fromFolder(program.uri.fsPath), sheet.sheet)
    },
  }
}

/** Undefined where the user breaks off. */
async function askSheet(server: ServerLink, program: TextDocument, fromFolder: (path: string) => string): Promise<Pick<SheetItem, 'sheet'> | undefined> {
  const { path, serving } = await server.ask('toolwake/setupSheet', { uri: program.uri.toString() })
  const inWorkspace = (await workspace.findFiles('**/*.setup.json', undefined, MOST_SHEETS)).map(uri => uri.fsPath).sort()
  const rest = inWorkspace.filter(one => !serving.includes(one))
  const item = (sheet: string, detail: string): SheetItem => ({ label: fromFolder(sheet), description: sheet === path ? 'in use' : undefined, detail, sheet: fromFolder(sheet) })
  return window.showQuickPick([
    ...serving.map(sheet => item(sheet, 'Serves this program by its "programs" or its name')),
    ...rest.map(sheet => item(sheet, 'Does not name this program')),
    { label: 'No Choice', detail: 'Take the sheet that is found; a note says so where several would serve', sheet: undefined },
  ], { title: 'Choose the Setup Sheet of This Program', placeHolder: 'Which sheet is this program checked with from now on?', matchOnDetail: true })
}

/** Nothing else in the setting is touched. */
async function keepChoice(scope: Uri, program: string, sheet: string | undefined): Promise<void> {
  const settings = workspace.getConfiguration('toolwake', scope)
  const chosen = new Map(Object.entries(settings.inspect<Record<string, string>>('setupSheets')?.workspaceFolderValue ?? {}))
  if (sheet === undefined) chosen.delete(program)
  else chosen.set(program, sheet)
  await settings.update('setupSheets', chosen.size === 0 ? undefined : Object.fromEntries(chosen), ConfigurationTarget.WorkspaceFolder)
}
