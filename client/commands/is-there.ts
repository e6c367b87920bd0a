import { workspace, type Uri } from 'vscode'

/** Whether a file lies under the address. */
export async function isThere(uri: Uri): Promise<boolean> {
  try {
    await workspace.fs.stat(uri)
    return true
  } catch {
    // Not there, or not to be reached: writing will say which.
    return false
  }
}
