import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { until } from '../until.ts'
import { diagnosticOf, openProgram, putBack, ruleOf } from './program.ts'

describe('commands about findings, files and the log', () => {
  afterEach(putBack)

  it('explain the finding under the cursor, on a page of its rule', async () => {
    const { document, editor } = await openProgram('plate.nc')
    const { range } = await diagnosticOf(document.uri, 'missing-decimal-point')
    editor.selection = new vscode.Selection(range.start, range.start)
    await vscode.commands.executeCommand('toolwake.explainFinding')
    await until('the page of the rule', () => vscode.workspace.textDocuments.some(({ uri }) => uri.scheme === 'toolwake-rule' && uri.path.includes('missing-decimal-point')) || undefined)
  })

  it('accept nothing where no words are given', async () => {
    const { document } = await openProgram('plate.nc')
    const { range } = await diagnosticOf(document.uri, 'missing-decimal-point'), before = document.lineCount
    const accepting = vscode.commands.executeCommand('toolwake.acceptFinding', document.uri.toString(), 'missing-decimal-point', range.start.line)
    let isOver = false
    void accepting.then(() => { isOver = true })
    await until('the end of the question', async () => {
      await vscode.commands.executeCommand('workbench.action.closeQuickOpen')
      return isOver || undefined
    })
    assert.equal(document.lineCount, before)
  })

  it('read all files again and check, and remove what was kept', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    await vscode.commands.executeCommand('toolwake.checkAgain')
    await vscode.commands.executeCommand('toolwake.clearKept')
    const again = await diagnosticOf(document.uri, 'gouge')
    assert.equal(ruleOf(again), 'gouge')
  })

  it('show the log', async () => {
    await vscode.commands.executeCommand('toolwake.showLog')
    await until('the log', () => vscode.workspace.textDocuments.some(({ uri }) => uri.scheme === 'output') || undefined)
    await vscode.commands.executeCommand('workbench.action.closePanel')
  })
})
