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
    // The ball goes down to 0.05 mm in N130 and up again in N140; the bound is a thousandth.
    assert.match(finding.message, /0\.0(49|50|51) mm/)
    assert.match(document.lineAt(finding.range.start.line).text, /^N1[34]0/)
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

  it('ends with the findings of the last text, however fast the edits come', async () => {
    const { document, editor } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    // Each edit moves every finding one line down; each second one mends the gouge, and the last one does not.
    for (let count = 0; count < 10; count += 1) {
      await editor.edit(edit => edit.insert(placeOf(document, 'N50').start, `(PASS ${count})\n`))
      await replace(editor, 'Z-0.05', 'Z-0.005')
      await replace(editor, 'Z-0.005', 'Z-0.05')
    }
    await until('the findings of the last text', () => {
      const places = ['missing-decimal-point', 'gouge'].map(rule => diagnosticsOf(document.uri, rule).map(one => document.getText(one.range)))
      return places[0].join() === 'X25' && places[1].join() === 'X0. Z-0.05' || undefined
    })
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
