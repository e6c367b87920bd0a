import { ProcessExecution, Task, TaskScope, Uri, tasks, workspace, type Disposable, type TaskDefinition, type WorkspaceFolder } from 'vscode'

/** The type of our tasks in `tasks.json`. */
const taskType = 'toolwake'

/**
 * They read the findings of the command line: those at a place in a file, and those about a file as a whole. What they list has
 * the owner "toolwake" as the language client's own list, so that the findings of an open program stand in the place of the task's.
 */
const problemMatchers = ['$toolwake', '$toolwake-file']

/** A task as it may stand in `tasks.json`. */
interface CheckDefinition extends TaskDefinition {
  /** Files, folders and patterns, as `toolwake check` takes them; the folder itself when absent. */
  readonly programs?: readonly string[]
}

/** Offers for each open folder to check all programs in it with the bundled command line. */
export function provideCheckTasks(extensionUri: Uri): Disposable {
  const commandLine = Uri.joinPath(extensionUri, 'dist', 'cli.cjs').fsPath
  return tasks.registerTaskProvider(taskType, {
    provideTasks: () => (workspace.workspaceFolders ?? []).filter(({ uri }) => uri.scheme === 'file').map(folder =>
      checkTask(commandLine, { type: taskType }, folder, 'check all programs of this folder')),
    resolveTask: task => {
      const { definition, scope, name } = task
      if (scope === undefined || scope === TaskScope.Global || scope === TaskScope.Workspace || scope.uri.scheme !== 'file') return undefined
      // The definition has to stay the very one that was given, so that the editor knows its task again.
      return checkTask(commandLine, definition as CheckDefinition, scope, name)
    },
  })
}

function checkTask(commandLine: string, definition: CheckDefinition, folder: WorkspaceFolder, name: string): Task {
  const words = [commandLine, 'check', ...definition.programs ?? ['.'], ...settingsAsOptions(folder)]
  // The editor's own program is Node where this says so; a user need not have another.
  const run = new ProcessExecution(process.execPath, words, { cwd: folder.uri.fsPath, env: { ELECTRON_RUN_AS_NODE: '1' } })
  const task = new Task(definition, folder, name, 'toolwake', run, problemMatchers)
  task.presentationOptions = { clear: true, showReuseMessage: false }
  return task
}

/** Settings of the folder that the command line knows too. */
function settingsAsOptions({ uri }: WorkspaceFolder): string[] {
  const settings = workspace.getConfiguration('toolwake', uri)
  const sheet = settings.get('setupSheet', ''), sheets = settings.get<Record<string, string>>('setupSheets', {}), threads = settings.get('contact.threads', 0), memory = settings.get('memoryLimit', 0)
  return [
    ...sheet === '' ? [] : ['--setup', sheet],
    ...Object.entries(sheets).flatMap(([program, chosen]) => ['--setup-for', `${program}=${chosen}`]),
    ...threads === 0 ? [] : ['--threads', String(threads)],
    ...memory === 0 ? [] : ['--memory', String(memory)],
  ]
}
