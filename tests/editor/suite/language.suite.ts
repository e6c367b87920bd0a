import assert from 'node:assert/strict'
import * as vscode from 'vscode'
import { until } from '../until.ts'
import { diagnosticOf, openProgram, placeOf, putBack, replace, writeFile } from './program.ts'

// Each feature of the language, as the editor asks for it. What is answered is tested in tests/features.

const text = '%\nO100 (JUMPS)\nN10 G21 G17 G90 G94\nN20 T1 M6\n(CUT)\nN30 G0 X[2*5]\nN40 IF[#1EQ1]GOTO60\nN50 M98 P200\nN60 M30\nO200\nM99\n%\n'

async function openJumps(): Promise<vscode.TextEditor> {
  await writeFile('jumps.nc', text)
  const { document, editor } = await openProgram('jumps.nc')
  await diagnosticOf(document.uri, 'setup-not-found')
  return editor
}

const ask = <Answer>(command: string, ...given: readonly unknown[]) => vscode.commands.executeCommand<Answer>(`vscode.${command}`, ...given)

describe('the language in the editor', () => {
  afterEach(putBack)

  it('completes codes, and tools from the sheet', async () => {
    const { document, editor } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const end = document.lineAt(document.lineCount - 1).range.end
    await editor.edit(edit => edit.insert(end, '\nG8'))
    const codes = await ask<vscode.CompletionList>('executeCompletionItemProvider', document.uri, document.lineAt(document.lineCount - 1).range.end)
    assert.ok(codes.items.some(item => item.label === 'G83' && item.detail?.includes('drilling')), 'G83 is offered')
    await editor.edit(edit => edit.insert(document.lineAt(document.lineCount - 1).range.end, '1 T'))
    const tools = await ask<vscode.CompletionList>('executeCompletionItemProvider', document.uri, document.lineAt(document.lineCount - 1).range.end)
    assert.ok(tools.items.some(item => item.label === 'T3'), 'the tool of the sheet is offered')
  })

  it('shows the words of a cycle', async () => {
    const { document } = await openJumps()
    await replace((await openProgram('jumps.nc')).editor, '(CUT)', 'G83 X1. Q')
    const help = await ask<vscode.SignatureHelp>('executeSignatureHelpProvider', document.uri, placeOf(document, 'G83 X1. Q').end)
    assert.equal(help.signatures[0]?.label, 'G83 [X] [Y] Z R Q [L]')
    assert.equal(help.activeParameter, 4)
  })

  it('lists and folds programs and tools', async () => {
    const { document } = await openJumps()
    const symbols = await ask<vscode.DocumentSymbol[]>('executeDocumentSymbolProvider', document.uri)
    assert.deepEqual(symbols.map(symbol => symbol.name), ['O100', 'O200'])
    assert.deepEqual(symbols[0]?.children.map(symbol => symbol.name), ['T1'])
    const folds = await ask<vscode.FoldingRange[]>('executeFoldingRangeProvider', document.uri)
    assert.ok(folds.some(fold => fold.start === 3 && fold.end === 8))
  })

  it('leads from a jump to its block, lists and renames both', async () => {
    const { document } = await openJumps()
    const jump = placeOf(document, 'GOTO60').end.translate(0, -1)
    const [definition] = await ask<vscode.Location[]>('executeDefinitionProvider', document.uri, jump)
    assert.equal(definition?.range.start.line, 8)
    assert.equal((await ask<vscode.Location[]>('executeReferenceProvider', document.uri, jump)).length, 2)
    const edit = await ask<vscode.WorkspaceEdit>('executeDocumentRenameProvider', document.uri, jump, '65')
    assert.ok(await vscode.workspace.applyEdit(edit))
    assert.ok(document.getText().includes('GOTO65\nN50 M98 P200\nN65 M30'))
  })

  it('shows who calls a program', async () => {
    const { document } = await openJumps()
    const [item] = await ask<vscode.CallHierarchyItem[]>('prepareCallHierarchy', document.uri, placeOf(document, 'O200').end)
    assert.equal(item?.name, 'O200')
    const calls = await ask<vscode.CallHierarchyIncomingCall[]>('provideIncomingCalls', item)
    assert.deepEqual(calls.map(call => call.from.name), ['O100'])
  })

  it('selects outward', async () => {
    const { document } = await openJumps()
    const [range] = await ask<vscode.SelectionRange[]>('executeSelectionRangeProvider', document.uri, [placeOf(document, 'G0').start])
    assert.equal(document.getText(range?.range), 'G0')
    assert.equal(document.getText(range?.parent?.range), 'G0 X[2*5]')
  })

  it('colours the words that are on the screen', async () => {
    const { document } = await openJumps()
    const tokens = await ask<vscode.SemanticTokens>('provideDocumentRangeSemanticTokens', document.uri, new vscode.Range(0, 0, document.lineCount, 0))
    assert.ok(tokens.data.length > 50)
  })

  it('links a called program to its file, and an accepted rule to its page', async () => {
    await writeFile('o9001.nc', 'M99\n')
    await writeFile('links.nc', 'G21\n(ACCEPT missing-feed: X)\nM98 P9001\nM30\n')
    const { document } = await openProgram('links.nc')
    await diagnosticOf(document.uri, 'setup-not-found')
    const links = await until('two links', async () => {
      const found = await ask<vscode.DocumentLink[]>('executeLinkProvider', document.uri, 10)
      return found.length === 2 ? found : undefined
    })
    assert.match(String(links.map(link => link.target?.path)), /missing-feed\.md.*o9001\.nc|o9001\.nc.*missing-feed\.md/)
  })

  it('has a line above the tool with figures, findings and time', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const lens = await until('figures above the tool', async () => {
      const [first] = await ask<vscode.CodeLens[]>('executeCodeLensProvider', document.uri, 10)
      return /deep/.test(first?.command?.title ?? '') ? first : undefined
    })
    assert.match(lens.command?.title ?? '', /finding.* at the programmed feeds .*cutter 0\.05\d mm deep/)
    const settings = vscode.workspace.getConfiguration('toolwake', document)
    await settings.update('toolSummary', false, vscode.ConfigurationTarget.Workspace)
    await until('no line above the tool', async () => (await ask<vscode.CodeLens[]>('executeCodeLensProvider', document.uri, 10)).length === 0 || undefined)
    await settings.update('toolSummary', undefined, vscode.ConfigurationTarget.Workspace)
  })

  it('shows modes, values and clearances between the words where that is switched on', async () => {
    const { document } = await openProgram('plate.nc')
    await diagnosticOf(document.uri, 'gouge')
    const all = new vscode.Range(0, 0, document.lineCount, 0)
    const labels = async () => (await ask<vscode.InlayHint[]>('executeInlayHintProvider', document.uri, all)).map(hint => String(hint.label))
    assert.deepEqual(await labels(), [])
    const settings = vscode.workspace.getConfiguration('toolwake', document)
    for (const name of ['modes', 'values', 'clearances']) await settings.update(`hints.${name}`, true, vscode.ConfigurationTarget.Workspace)
    await until('the hints', async () => {
      const shown = await labels()
      return shown.includes('G1') && shown.some(label => label.includes('cutter -0.05')) || undefined
    })
    for (const name of ['modes', 'values', 'clearances']) await settings.update(`hints.${name}`, undefined, vscode.ConfigurationTarget.Workspace)
  })
})
