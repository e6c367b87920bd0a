import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { diagnosticOf, nothingOf, openProgram, putBack, replace, writeFile } from './program.ts'

async function actionsAt(uri: vscode.Uri, range: vscode.Range, kind: string): Promise<vscode.CodeAction[]> {
  return vscode.commands.executeCommand<vscode.CodeAction[]>('vscode.executeCodeActionProvider', uri, range, kind)
}

describe('quick fixes', () => {
  afterEach(putBack)

  it('writes the point that is missing, and the finding goes', async () => {
    await writeFile('point.nc', 'G21 G17 G90 G94 G40 G49 G54\nG0 X10. Y20 Z5.\nM30\n')
    const { document } = await openProgram('point.nc')
    const { range } = await diagnosticOf(document.uri, 'missing-decimal-point')
    const fix = (await actionsAt(document.uri, range, 'quickfix')).find(({ title }) => title === 'Write Y20. (keeps the motion)')
    assert.ok(fix?.edit)
    assert.equal(fix.isPreferred, true)
    assert.ok(await vscode.workspace.applyEdit(fix.edit))
    assert.match(document.getText(), /Y20\. Z5\./)
    await nothingOf(document.uri, 'missing-decimal-point')
  })

  it('makes all at once that keep the motion and need nobody to decide', async () => {
    await writeFile('all.nc', 'G90 G94 G40 G49 G54\nG0 X10. Y20 Z5.\nG1 X20.\nX30. F100\nM30\n')
    const { document } = await openProgram('all.nc')
    await diagnosticOf(document.uri, 'missing-decimal-point')
    await vscode.commands.executeCommand('editor.action.fixAll')
    await nothingOf(document.uri, 'missing-decimal-point')
    assert.equal(document.getText(), 'G90 G94 G40 G49 G54\nG0 X10. Y20. Z5.\nG1 X20.\nX30. F100\nM30\n')
    await diagnosticOf(document.uri, 'missing-start-state')
    await diagnosticOf(document.uri, 'missing-feed')
  })

  it('adds to the sheet the tool that it lacks, as one edit that can be undone', async () => {
    const { document, editor } = await openProgram('plate.nc')
    await replace(editor, 'T3 M6', 'T5 M6')
    const { range } = await diagnosticOf(document.uri, 'tool-not-in-setup')
    const fix = (await actionsAt(document.uri, range, 'quickfix')).find(({ title }) => title === 'Add tool 5 to the setup sheet, to be filled in')
    assert.ok(fix?.edit)
    const sheet = await vscode.workspace.openTextDocument(vscode.Uri.joinPath(document.uri, '..', 'plate.setup.json')), before = sheet.getText()
    assert.ok(await vscode.workspace.applyEdit(fix.edit))
    assert.match(sheet.getText(), /\n {4}},\n {4}\/\/ T5: [^\n]*\n {4}{\n {6}"number": 5, "name": "tool 5",\n/)
    await nothingOf(document.uri, 'tool-not-in-setup')
    await diagnosticOf(sheet.uri, 'setup-error')
    await vscode.window.showTextDocument(sheet)
    await vscode.commands.executeCommand('undo')
    assert.equal(sheet.getText(), before)
    await vscode.window.showTextDocument(document)
  })

  it('shows a mend of the path before it is made, and makes it as one step', async () => {
    const { document } = await openProgram('plate.nc'), before = document.getText()
    const { range } = await diagnosticOf(document.uri, 'gouge')
    const { command } = (await actionsAt(document.uri, range, 'quickfix')).find(({ title }) => title === 'Mend gouge and show what changes…') ?? {}
    assert.equal(command?.command, 'toolwake.showMend')
    await vscode.commands.executeCommand('toolwake.showMend', ...command?.arguments ?? [])
    assert.ok(shownMend())
    assert.equal(document.getText(), before)
    await vscode.commands.executeCommand('toolwake.makeMend')
    assert.equal(document.getText(), before.replace('Z-0.05', 'Z0.'))
    assert.equal(shownMend(), undefined)
    assert.equal(vscode.window.activeTextEditor?.document, document)
    await nothingOf(document.uri, 'gouge')
    await vscode.commands.executeCommand('undo')
    assert.equal(document.getText(), before)
    await diagnosticOf(document.uri, 'gouge')
    await vscode.commands.executeCommand('toolwake.leaveMend')
    assert.equal(document.getText(), before)
  })

  it('starts a setup sheet, and never writes over one', async () => {
    await writeFile('fresh.nc', '%\nO7\nG21 G17 G90 G94 G40 G49 G54\nT4 M6\nG43 H4\nG0 X1.\nM30\n%\n')
    const { document } = await openProgram('fresh.nc')
    const { range } = await diagnosticOf(document.uri, 'setup-not-found')
    const start = (await actionsAt(document.uri, range, 'quickfix')).find(({ title }) => title === 'Start a setup sheet for this program')
    assert.equal(start?.command?.command, 'toolwake.startSetupSheet')
    await vscode.commands.executeCommand('toolwake.startSetupSheet', document.uri.toString(), {})
    const editor = vscode.window.activeTextEditor
    assert.match(editor?.document.uri.path ?? '', /\/fresh\.setup\.json$/)
    assert.equal(editor?.document.getText(editor.selection), 'null')
    assert.match(editor?.document.getText() ?? '', /"number": 4/)
    await diagnosticOf(vscode.Uri.joinPath(document.uri, '..', 'fresh.setup.json'), 'setup-error')
    await writeFile('fresh.setup.json', '{ "programs": ["fresh.nc"] }')
    await vscode.commands.executeCommand('toolwake.startSetupSheet', document.uri.toString(), {})
    const kept = await vscode.workspace.fs.readFile(vscode.Uri.joinPath(document.uri, '..', 'fresh.setup.json'))
    assert.equal(new TextDecoder().decode(kept), '{ "programs": ["fresh.nc"] }')
    await vscode.workspace.fs.delete(vscode.Uri.joinPath(document.uri, '..', 'fresh.setup.json'))
  })

  it('leads from two sheets to the choice of one, which the settings of the folder keep', async () => {
    await writeFile('both.nc', 'G21 G17 G90 G94 G40 G49 G54\nG0 X1.\nM30\n')
    for (const name of ['one', 'two']) await writeFile(`${name}.setup.json`, '{ "programs": ["bot?.nc"] }')
    const { document } = await openProgram('both.nc')
    const { range } = await diagnosticOf(document.uri, 'several-setups')
    const choose = (await actionsAt(document.uri, range, 'quickfix')).find(({ title }) => title === 'Choose the setup sheet of this program…')
    assert.equal(choose?.command?.command, 'toolwake.chooseSetupSheet')
    await vscode.commands.executeCommand('toolwake.chooseSetupSheet', document.uri.toString(), 'two.setup.json')
    await nothingOf(document.uri, 'several-setups')
    assert.deepEqual(vscode.workspace.getConfiguration('toolwake', document.uri).get('setupSheets'), { 'both.nc': 'two.setup.json' })
    await vscode.commands.executeCommand('toolwake.openSetupSheet')
    assert.match(vscode.window.activeTextEditor?.document.uri.path ?? '', /\/two\.setup\.json$/)
    await vscode.workspace.getConfiguration('toolwake', document.uri).update('setupSheets', undefined, vscode.ConfigurationTarget.WorkspaceFolder)
    for (const name of ['one', 'two']) await vscode.workspace.fs.delete(vscode.Uri.joinPath(document.uri, '..', `${name}.setup.json`))
  })
})

function shownMend(): vscode.TabInputTextDiff | undefined {
  const input = vscode.window.tabGroups.activeTabGroup.activeTab?.input
  return input instanceof vscode.TabInputTextDiff && input.modified.scheme === 'toolwake-mended' ? input : undefined
}
