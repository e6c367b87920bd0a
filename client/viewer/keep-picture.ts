import { posix } from 'node:path'
import * as vscode from 'vscode'

/** Writes a picture where the user says; beside the program, and under its name, unless another place is chosen. */
export async function keepPicture(program: vscode.Uri, name: string, png: Uint8Array): Promise<{ readonly name?: string }> {
  const offered = vscode.Uri.joinPath(program, '..', `${name.replace(/\.[^.]*$/, '')}.png`)
  const target = await vscode.window.showSaveDialog({
    defaultUri: program.scheme === 'untitled' ? undefined : offered, filters: { 'PNG picture': ['png'] }, title: 'Keep the picture',
  })
  if (target === undefined) return {}
  await vscode.workspace.fs.writeFile(target, png)
  return { name: posix.basename(target.path) }
}
