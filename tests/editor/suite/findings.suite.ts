import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { until } from '../until.ts'
import { diagnosticOf, diagnosticsOf, nothingOf, openProgram, placeOf, putBack, replace, ruleOf } from './program.ts'

describe('findings while typing', () => {
  afterEach(putBack)

  it('knows a program by its file name', async () => {
    const { document } = await openProgram('plate.nc')
    assert.equal(document.languageId, 'toolwake-nc')
  })

  it('marks the very word and nothing else', async () => {
    const { document } = await openProgram('plate.nc')
    const finding = await diagnosticOf(document.uri, 'missing-decimal-point')
    assert.equal(document.getText(finding.range), 'X25')
    assert.equal(finding.range.start.line, placeOf(document, 'N90').start.line)
    assert.equal(finding.severity, vscode.DiagnosticSeverity.Warning)
    assert.match(finding.message, /X25/)
    assert.equal(diagnosticsOf(document.uri, 'missing-decimal-point').length, 1)
  })

  it('finds the gouge on its block, with its depth', async () => {
    const { document } = await openProgram('plate.nc')
    const finding = await diagnosticOf(document.uri, 'gouge')
    assert.equal(finding.severity, vscode.DiagnosticSeverity.Error)
    // The ball is fed 0.05 mm into the plate in N130 and moved along in N140.
    assert.match(finding.message, /0\.05/)
    const [first, last] = [placeOf(document, 'N130').start.line, placeOf(document, 'N150').start.line]
    assert.ok(finding.range.start.line >= first && finding.range.start.line <= last, `on line ${finding.range.start.line + 1}`)
    assert.equal(diagnosticsOf(document.uri, 'gouge').length, 1, 'one cause, one finding')
  })

  it('takes both findings back when the edit mends them, and brings them again on undo', async () => {
    const { document, editor } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    await replace(editor, 'X25 Y-20.', 'X25. Y-20.')
    await nothingOf(document.uri, 'missing-decimal-point')
    await replace(editor, 'Z-0.05', 'Z-0.005')
    await nothingOf(document.uri, 'gouge')
    await vscode.commands.executeCommand('undo')
    await diagnosticOf(document.uri, 'gouge')
  })

  it('never shows a finding on a block it does not belong to, however fast the edits come', async () => {
    const { document, editor } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const strays: string[] = []
    const listener = vscode.languages.onDidChangeDiagnostics(({ uris }) => {
      if (!uris.some(uri => uri.toString() === document.uri.toString())) return
      for (const one of diagnosticsOf(document.uri, 'missing-decimal-point')) {
        const text = document.getText(one.range)
        if (text !== 'X25') strays.push(`"${text}" on line ${one.range.start.line + 1}`)
      }
    })
    try {
      for (let count = 0; count < 20; count += 1) {
        await editor.edit(edit => edit.insert(placeOf(document, 'N50').start, `(PASS ${count})\n`))
      }
      const last = await until('the findings of the last edit', () => {
        const [gouge] = diagnosticsOf(document.uri, 'gouge')
        const [point] = diagnosticsOf(document.uri, 'missing-decimal-point')
        return gouge !== undefined && point !== undefined && point.range.start.line === placeOf(document, 'N90').start.line ? gouge : undefined
      })
      assert.match(document.lineAt(last.range.start.line).text, /^N1[345]0/)
      assert.deepEqual(strays, [])
    } finally {
      listener.dispose()
    }
  })

  it('says nothing else about the program', async () => {
    const { document, editor } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    await replace(editor, 'X25 Y-20.', 'X25. Y-20.')
    await replace(editor, 'Z-0.05', 'Z0.')
    await nothingOf(document.uri, 'gouge')
    await nothingOf(document.uri, 'missing-decimal-point')
    const graver = diagnosticsOf(document.uri).filter(one => one.severity !== vscode.DiagnosticSeverity.Information)
    assert.deepEqual(graver.map(one => `${ruleOf(one)}: ${one.message}`), [])
  })
})
