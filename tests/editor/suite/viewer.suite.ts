import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { until } from '../until.ts'
import { diagnosticOf, openProgram, putBack } from './program.ts'

describe('viewer', () => {
  afterEach(putBack)

  it('opens beside the program and leaves the focus in the text', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    await vscode.commands.executeCommand('toolwake.showWake')
    const tab = await until('the viewer', () => viewerTabs()[0])
    assert.match(tab.label, /plate\.nc/)
    assert.equal(vscode.window.activeTextEditor?.document, document)
  })

  it('opens once however often it is called', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    await vscode.commands.executeCommand('toolwake.showWake')
    await vscode.commands.executeCommand('toolwake.showWake')
    await until('the viewer', () => viewerTabs()[0])
    assert.equal(viewerTabs().length, 1)
  })
})

function viewerTabs(): vscode.Tab[] {
  return vscode.window.tabGroups.all.flatMap(group => group.tabs).filter(({ input }) =>
    input instanceof vscode.TabInputWebview && input.viewType.includes('toolwake.viewer'))
}
