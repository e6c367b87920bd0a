import { window, type TextDocument } from 'vscode'
import { isProgram } from '../language-client.ts'

/** The program in the active editor. */
export function activeProgram(): TextDocument | undefined {
  const document = window.activeTextEditor?.document
  return document !== undefined && isProgram(document) ? document : undefined
}
