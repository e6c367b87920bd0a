import { posix } from 'node:path'
import * as vscode from 'vscode'

/** A text to hold a program against, and what people call it. */
export interface OtherText {
  readonly name: string
  readonly text: string
  /** Where it is the program as a mend would have it: what the mend does, in words. */
  readonly mend?: string
}

type Choice = vscode.QuickPickItem & { readonly read: () => Promise<OtherText | undefined> }

/** What the editor's own Git support offers others; the part that is used. */
interface GitExtension {
  /** False where Git is switched off or not installed: then there is no interface to be had. */
  readonly enabled: boolean
  readonly getAPI: (version: 1) => GitInterface
}

interface GitInterface {
  /** Until it is initialized, the repositories of what stands open are still looked for. */
  readonly state: 'uninitialized' | 'initialized'
  readonly onDidChangeState: vscode.Event<GitInterface['state']>
  readonly getRepository: (uri: vscode.Uri) => { readonly show: (ref: string, path: string) => Promise<string> } | null
}

/** Lets the user choose what to compare the program with; undefined: with nothing. */
export async function chooseOtherText(program: vscode.Uri): Promise<OtherText | undefined> {
  const name = posix.basename(program.path)
  const choices: Choice[] = [
    { label: 'The version committed last', detail: `${name} at HEAD of its Git repository`, read: () => committed(program, name) },
    { label: 'The file as saved', detail: 'For what has been typed and not saved yet', read: async () => ({ name: `${name} as saved`, text: await textOf(program) }) },
    { label: 'Another file…', detail: 'The released program, for example', read: () => anotherFile(program) },
    { label: 'Nothing', detail: 'Show this version alone', read: () => Promise.resolve(undefined) },
  ]
  const choice = await vscode.window.showQuickPick(choices, { title: `Compare the motions of ${name} with…` })
  return choice?.read()
}

async function committed(program: vscode.Uri, name: string): Promise<OtherText> {
  const extension = vscode.extensions.getExtension<GitExtension>('vscode.git')
  const git = await extension?.activate()
  const repository = git?.enabled === true ? (await initialized(git.getAPI(1))).getRepository(program) : null
  if (repository === null) throw new Error(`${name} lies in no Git repository that the editor knows. Choose a file to compare it with.`)
  try {
    return { name: `${name} at HEAD`, text: await repository.show('HEAD', program.fsPath) }
  } catch {
    throw new Error(`${name} has not been committed yet. Choose a file to compare it with.`)
  }
}

function initialized(git: GitInterface): Promise<GitInterface> {
  return new Promise(done => {
    if (git.state === 'initialized') {
      done(git)
      return
    }
    const listening = git.onDidChangeState(state => {
      if (state !== 'initialized') return
      listening.dispose()
      done(git)
    })
  })
}

async function anotherFile(program: vscode.Uri): Promise<OtherText | undefined> {
  const [file] = await vscode.window.showOpenDialog({ defaultUri: vscode.Uri.joinPath(program, '..'), title: 'Compare motions with' }) ?? []
  return file === undefined ? undefined : { name: posix.basename(file.path), text: await textOf(file) }
}

async function textOf(uri: vscode.Uri): Promise<string> {
  return new TextDecoder().decode(await vscode.workspace.fs.readFile(uri))
}
