import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import * as vscode from 'vscode'
import { diagnosticOf, openProgram, putBack } from './program.ts'

describe('writing the release record', () => {
  afterEach(putBack)

  it('writes the page of the program, saved first', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const target = vscode.Uri.joinPath(document.uri, '..', 'plate.record.html').fsPath
    await vscode.commands.executeCommand('toolwake.writeRecord', target)
    const page = readFileSync(target, 'utf8')
    assert.match(page, /<h1>Release record: plate\.nc<\/h1>/)
    assert.match(page, /gouge: 1 cause/)
  })
})
