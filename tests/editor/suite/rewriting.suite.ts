import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { diagnosticOf, openProgram, putBack, writeFile } from './program.ts'

describe('commands that rewrite a program', () => {
  afterEach(putBack)

  it('sets the words apart and leaves comments alone', async () => {
    await writeFile('run-together.nc', 'n10g0x1.(keep  this)\nN20   G1 Y2.F100\n')
    const { document } = await openProgram('run-together.nc')
    await diagnosticOf(document.uri, 'setup-not-found')
    await vscode.commands.executeCommand('toolwake.tidyProgram')
    assert.equal(document.getText(), 'N10 G0 X1. (keep  this)\nN20 G1 Y2. F100\n')
  })

  it('renumbers the blocks, and their jumps with them', async () => {
    await writeFile('numbers.nc', 'N1 GOTO 3\nG0 X1.\nN3 M30\n')
    const { document } = await openProgram('numbers.nc')
    await diagnosticOf(document.uri, 'setup-not-found')
    await vscode.commands.executeCommand('toolwake.renumberProgram', 100, 10, false)
    assert.equal(document.getText(), 'N100 GOTO 110\nG0 X1.\nN110 M30\n')
    await vscode.commands.executeCommand('toolwake.renumberProgram', 10, 10, true)
    assert.equal(document.getText(), 'N10 GOTO 30\nN20 G0 X1.\nN30 M30\n')
  })

  it('changes nothing where a jump leads nowhere', async () => {
    await writeFile('nowhere.nc', 'N1 GOTO 9\nN3 M30\n')
    const { document } = await openProgram('nowhere.nc')
    await diagnosticOf(document.uri, 'setup-not-found')
    await vscode.commands.executeCommand('toolwake.renumberProgram', 100, 10, false)
    assert.equal(document.getText(), 'N1 GOTO 9\nN3 M30\n')
    assert.equal(document.isDirty, false)
  })
})

describe('the first minutes', () => {
  afterEach(putBack)

  it('opens a sample that is complete: the six faults of the duct are found', async () => {
    const [folder] = vscode.workspace.workspaceFolders ?? []
    assert.ok(folder)
    await vscode.commands.executeCommand('toolwake.openSample', 'duct/throat-edited.nc', folder.uri.toString())
    const document = vscode.window.activeTextEditor?.document
    assert.match(document?.uri.path ?? '', /toolwake-samples\/duct\/throat-edited\.nc$/)
    assert.ok(document)
    await diagnosticOf(document.uri, 'gouge')
  })

  it('leaves a sample that was worked on as it is', async () => {
    const [folder] = vscode.workspace.workspaceFolders ?? []
    assert.ok(folder)
    const plate = vscode.Uri.joinPath(folder.uri, 'toolwake-samples', 'plate', 'plate.nc')
    await vscode.workspace.fs.writeFile(plate, new TextEncoder().encode('%\n(MINE)\nM30\n%\n'))
    await vscode.commands.executeCommand('toolwake.openSample', 'plate/plate.nc', folder.uri.toString())
    assert.equal(vscode.window.activeTextEditor?.document.getText(), '%\n(MINE)\nM30\n%\n')
  })

  it('has a walk through the extension', async () => {
    await vscode.commands.executeCommand('toolwake.firstSteps')
    await vscode.commands.executeCommand('workbench.action.closeAllEditors')
  })
})
