import { ProgressLocation, Uri, commands, window, workspace } from 'vscode'
import type { CommandOptions, CommandTable } from './command-table.ts'
import { isThere } from './is-there.ts'

interface Sample {
  readonly label: string
  readonly detail: string
  /** The program, from the folder of the samples on. */
  readonly program: string
}

const samples: readonly Sample[] = [
  { label: 'The plate', detail: 'Twenty blocks on three axes with one gouge: a first look', program: 'plate/plate.nc' },
  { label: 'The duct, edited by hand', detail: 'Five-axis finishing under an overhanging lip, 5,601 blocks, six known faults', program: 'duct/throat-edited.nc' },
  { label: 'The duct, clean', detail: 'The same program before the edits: nothing is found in it', program: 'duct/throat.nc' },
]

/** What belongs to the samples and comes with the extension. */
const files = [
  'README.md', 'plate/README.md', 'plate/plate.nc', 'plate/plate.setup.json', 'plate/plate.stl',
  'duct/README.md', 'duct/duct.machine.json', 'duct/duct.setup.json', 'duct/throat.nc', 'duct/throat-edited.nc',
]

/** Copies the samples to where the user wants them, and opens one. */
export function sampleCommands({ extensionUri }: CommandOptions): CommandTable {
  return {
    'toolwake.openSample': async (program, folder) => {
      const chosen = typeof program === 'string' ? samples.find(one => one.program === program)
        : await window.showQuickPick(samples, { title: 'Open a Sample', placeHolder: 'Which one? All are copied into a folder that you choose next.' })
      if (chosen === undefined) return
      const target = typeof folder === 'string' ? Uri.parse(folder) : await askFolder()
      if (target === undefined) return
      const home = Uri.joinPath(target, 'toolwake-samples')
      await window.withProgress({ location: ProgressLocation.Notification, title: 'Toolwake: copying the samples' }, () => copySamples(extensionUri, home))
      await window.showTextDocument(Uri.joinPath(home, chosen.program))
    },
    'toolwake.firstSteps': () => commands.executeCommand('workbench.action.openWalkthrough', 'toolwake.toolwake#firstSteps', false),
  }
}

async function askFolder(): Promise<Uri | undefined> {
  const [folder] = await window.showOpenDialog({ canSelectFiles: false, canSelectFolders: true, openLabel: 'Copy the Samples Here', title: 'A folder for the samples' }) ?? []
  return folder
}

/** What is there already stays as it is: somebody may have worked on it. */
async function copySamples(extensionUri: Uri, home: Uri): Promise<void> {
  for (const name of files) {
    const target = Uri.joinPath(home, name)
    if (!await isThere(target)) await workspace.fs.writeFile(target, await workspace.fs.readFile(Uri.joinPath(extensionUri, 'samples', name)))
  }
  const mesh = Uri.joinPath(home, 'duct', 'duct.stl')
  if (await isThere(mesh)) return
  // 18 MB that are worked out in a second do not have to travel with the extension.
  const { makeStl } = await import(Uri.joinPath(extensionUri, 'dist', 'duct-mesh.cjs').toString(true)) as { readonly makeStl: () => Uint8Array }
  await workspace.fs.writeFile(mesh, makeStl())
}
