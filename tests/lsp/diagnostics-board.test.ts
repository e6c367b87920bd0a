import { describe, expect, it } from 'vitest'
import { DiagnosticsBoard, type Notice } from '../../server/lsp/diagnostics-board.ts'
import type { Diagnostic } from '../../server/lsp/protocol.ts'

const note = (message: string): Diagnostic =>
  ({ message, range: { start: { line: 0, character: 0 }, end: { line: 0, character: 1 } } })

function board() {
  const shown = new Map<string, string[]>()
  const sent: Notice[] = []
  return {
    shown, sent,
    board: new DiagnosticsBoard(notice => {
      sent.push(notice)
      shown.set(notice.uri, notice.diagnostics.map(one => String(one.message)))
    }),
  }
}

describe('findings of several programs about one setup sheet', () => {
  it('are shown once, and until the last program no longer says it', () => {
    const { board: one, shown } = board()
    one.post('a.nc', 1, new Map([['a.nc', []], ['s.json', [note('no such key')]]]))
    one.post('b.nc', 1, new Map([['b.nc', []], ['s.json', [note('no such key')]]]))
    expect(shown.get('s.json')).toEqual(['no such key'])
    one.post('a.nc', 2, new Map([['a.nc', []]]))
    expect(shown.get('s.json')).toEqual(['no such key'])
    one.clear('b.nc')
    expect(shown.get('s.json')).toEqual([])
  })

  it('are not sent again when a program alone has changed', () => {
    const { board: one, sent } = board()
    one.post('a.nc', 1, new Map([['a.nc', []], ['s.json', [note('no such key')]]]))
    one.post('a.nc', 2, new Map([['a.nc', [note('no feed')]], ['s.json', [note('no such key')]]]))
    expect(sent.filter(notice => notice.uri === 's.json')).toHaveLength(1)
  })

  it('carry the version of the program and none of another file', () => {
    const { board: one, sent } = board()
    one.post('a.nc', 7, new Map([['a.nc', []], ['s.json', [note('x')]]]))
    expect(sent.map(({ uri, version }) => [uri, version])).toEqual([['a.nc', 7], ['s.json', undefined]])
  })
})
