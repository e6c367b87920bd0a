import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { until } from '../until.ts'
import { diagnosticOf, openProgram, putBack, writeFile } from './program.ts'

describe('comparing with the released program', () => {
  afterEach(putBack)

  it('shows the verdict first, with the new finding and the cautions', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const released = await writeFile('released.nc', document.getText().replace('Z-0.05', 'Z0.'))
    await vscode.commands.executeCommand('toolwake.compareWith', released.fsPath)
    const page = await until('the page of the comparison', () => vscode.workspace.textDocuments.find(({ uri }) => uri.scheme === 'toolwake-comparison'))
    const text = page.getText()
    assert.match(text, /^# plate\.nc compared with released\.nc\n/)
    assert.match(text, /\*\*The edit changes the motion in one place \(up to 0\.05/)
    assert.match(text, /error gouge\*\* \(new\), line 15/)
    assert.match(text, /no proof of a safe program/)
  })

  it('says in a sentence what is wrong with a file that cannot be read', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    await assert.doesNotReject(async () => { await vscode.commands.executeCommand('toolwake.compareWith', `${document.uri.fsPath}.gone`) })
  })
})
