import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { diagnosticOf, diagnosticsOf, fileOf, nothingOf, openProgram, placeOf, putBack, replace, writeFile } from './program.ts'

describe('inputs that are wrong or missing', () => {
  afterEach(putBack)

  it('says that a program without a sheet is only read as text', async () => {
    await writeFile('alone.nc', '%\nO2 (ALONE)\nG21 G90 G94 G17\nG1 X1. F100.\nM30\n%\n')
    const { document } = await openProgram('alone.nc')
    const note = await diagnosticOf(document.uri, 'setup-not-found')
    assert.equal(note.severity, vscode.DiagnosticSeverity.Information)
  })

  it('stays alive on an empty program and on one that is no text', async () => {
    await writeFile('empty.nc', '')
    await writeFile('noise.nc', String.fromCharCode(...Array.from({ length: 2000 }, (_, index) => 1 + (index * 7919) % 250)))
    await openProgram('empty.nc')
    const { document: noise } = await openProgram('noise.nc')
    await diagnosticOf(noise.uri, 'stray-text')
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'missing-decimal-point')
  })

  it('tells what is wrong with a sheet and a machine file with no program open', async () => {
    const sheet = (await vscode.workspace.fs.readFile(fileOf('plate.setup.json'))).toString()
    await writeFile('lonely.setup.json', sheet.replace('"plate.nc"', '"lonely.nc"').replace('"plate.stl"', '"lonely.stl"').replace('"DCONMS": 6', '"DCONMS": 16'))
    const { document } = await openProgram('lonely.setup.json')
    const mesh = await diagnosticOf(document.uri, 'mesh-unreadable')
    assert.equal(document.getText(mesh.range), '"lonely.stl"')
    assert.match((await diagnosticOf(document.uri, 'setup-error')).message, /shank DCONMS 16 mm is wider than the face of the holder/)
    const machine = (await vscode.workspace.fs.readFile(fileOf('trunnion.machine.json'))).toString()
    await writeFile('lonely.machine.json', machine.replace('"rotary"', '"turning"'))
    const { document: lonely } = await openProgram('lonely.machine.json')
    assert.match((await diagnosticOf(lonely.uri, 'setup-error')).message, /turning/)
  })

  it('marks a misspelt key in the sheet and names the nearest known one', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const sheet = await openProgram('plate.setup.json')
    await replace(sheet.editor, '"gouge"', '"gouje"')
    await sheet.document.save()
    const finding = await diagnosticOf(sheet.document.uri, 'setup-error')
    assert.match(finding.message, /gouje.*gouge/s)
    assert.ok(finding.range.contains(placeOf(sheet.document, 'gouje')), sheet.document.getText(finding.range))
    await replace(sheet.editor, '"gouje"', '"gouge"')
    await sheet.document.save()
    await nothingOf(sheet.document.uri, 'setup-error')
    await diagnosticOf(document.uri, 'gouge')
  })

  it('checks again when the sheet is saved with another limit', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const sheet = await openProgram('plate.setup.json')
    await replace(sheet.editor, '"gouge": 0.01', '"gouge": 0.06')
    await sheet.document.save()
    await nothingOf(document.uri, 'gouge')
    await replace(sheet.editor, '"gouge": 0.06', '"gouge": 0.01')
    await sheet.document.save()
    await diagnosticOf(document.uri, 'gouge')
    assert.equal(diagnosticsOf(document.uri, 'gouge').length, 1)
  })
})
