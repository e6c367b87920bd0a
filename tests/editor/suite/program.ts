// What a test does with a program in the editor.
import * as vscode from 'vscode'
import { until } from '../until.ts'

export interface Program {
  readonly document: vscode.TextDocument
  readonly editor: vscode.TextEditor
}

/** A file of the workspace. */
export function fileOf(name: string): vscode.Uri {
  const [folder] = vscode.workspace.workspaceFolders ?? []
  if (folder === undefined) throw new Error('The editor has no folder open.')
  return vscode.Uri.joinPath(folder.uri, name)
}

/** Opens a file of the workspace. */
export async function openProgram(name: string): Promise<Program> {
  const document = await vscode.workspace.openTextDocument(fileOf(name))
  const editor = await vscode.window.showTextDocument(document)
  return { document, editor }
}

/** Adds a file to the workspace. */
export async function writeFile(name: string, text: string): Promise<vscode.Uri> {
  const uri = fileOf(name)
  await vscode.workspace.fs.writeFile(uri, new TextEncoder().encode(text))
  return uri
}

export function ruleOf({ code }: vscode.Diagnostic): string {
  return String(typeof code === 'object' ? code.value : code)
}

/** Our diagnostics on a file, of one rule when it is given. */
export function diagnosticsOf(uri: vscode.Uri, rule?: string): vscode.Diagnostic[] {
  return vscode.languages.getDiagnostics(uri).filter(one => one.source === 'toolwake' && (rule === undefined || ruleOf(one) === rule))
}

/** Waits until a rule has said something about the file. */
export function diagnosticOf(uri: vscode.Uri, rule: string): Promise<vscode.Diagnostic> {
  return until(`a diagnostic of ${rule}; there are: ${diagnosticsOf(uri).map(ruleOf).join(', ')}`, () => diagnosticsOf(uri, rule)[0])
}

export function nothingOf(uri: vscode.Uri, rule: string): Promise<true> {
  return until(`the end of ${rule}`, () => diagnosticsOf(uri, rule).length === 0 || undefined)
}

/** Where a piece of text first stands. */
export function placeOf(document: vscode.TextDocument, text: string): vscode.Range {
  const start = document.getText().indexOf(text)
  if (start < 0) throw new Error(`"${text}" does not stand in ${document.uri.path}.`)
  return new vscode.Range(document.positionAt(start), document.positionAt(start + text.length))
}

export async function replace(editor: vscode.TextEditor, text: string, by: string): Promise<void> {
  const done = await editor.edit(edit => edit.replace(placeOf(editor.document, text), by))
  if (!done) throw new Error(`"${text}" could not be replaced.`)
}

/** Throws away what was edited, and closes every tab. */
export async function putBack(): Promise<void> {
  while (vscode.window.activeTextEditor?.document.isDirty === true) {
    await vscode.commands.executeCommand('workbench.action.files.revert')
  }
  await vscode.commands.executeCommand('workbench.action.closeAllEditors')
}

/** Everything a hover at the place says, as one text. */
export async function hoverAt(document: vscode.TextDocument, at: vscode.Position): Promise<string> {
  const hovers = await vscode.commands.executeCommand<vscode.Hover[]>('vscode.executeHoverProvider', document.uri, at)
  return hovers.flatMap(hover => hover.contents).map(content => typeof content === 'string' ? content : content.value).join('\n')
}
