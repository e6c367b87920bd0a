import { describe, expect, it } from 'vitest'
import { toDiagnostics, withLevels } from '../../server/lsp/convert.ts'
import { uriOf } from '../../server/lsp/document-path.ts'
import { DiagnosticSeverity, TextDocument } from '../../server/lsp/protocol.ts'
import type { Finding } from '../../shared/finding.ts'

const program = TextDocument.create('file:///job/a.nc', 'toolwake-nc', 4, 'G21\nG1 X10\n\nM30')
const sheet = '{\n  "programs": []\n}'
const places = { programUri: program.uri, program, textOf: (path: string) => path === '/job/a.setup.json' ? sheet : undefined }
const finding = (more: Partial<Finding>): Finding =>
  ({ rule: 'missing-feed', level: 'error', message: 'No feed.', span: { start: 4, end: 6 }, ...more })

describe('findings as the editor gets them', () => {
  it('stand on the word, with rule, source, level and the text they were made from', () => {
    const [one] = toDiagnostics([finding({})], places).get(program.uri) ?? []
    expect(one).toEqual({
      range: { start: { line: 1, character: 0 }, end: { line: 1, character: 2 } },
      severity: DiagnosticSeverity.Error, code: 'missing-feed', source: 'toolwake', message: 'No feed.', data: { version: program.version },
    })
  })

  it('stand in the file they are about, by that file\'s own lines', () => {
    const uri = uriOf('/job/a.setup.json')
    const found = toDiagnostics([finding({ file: '/job/a.setup.json', span: { start: 4, end: 14 } })], places)
    expect(found.get(program.uri)).toEqual([])
    expect(found.get(uri)?.[0].range).toEqual({ start: { line: 1, character: 2 }, end: { line: 1, character: 12 } })
  })

  it('point to the second place', () => {
    const related = [{ file: '/job/a.setup.json', span: { start: 4, end: 14 }, message: 'The limit.' }]
    const [one] = toDiagnostics([finding({ related })], places).get(program.uri) ?? []
    expect(one.relatedInformation).toEqual([{
      location: { uri: uriOf('/job/a.setup.json'), range: { start: { line: 1, character: 2 }, end: { line: 1, character: 12 } } },
      message: 'The limit.',
    }])
  })

  it('are hints with the reason once they are accepted', () => {
    const [one] = toDiagnostics([finding({ waiver: { reason: 'CORK PAD', span: { start: 0, end: 1 } } })], places).get(program.uri) ?? []
    expect(one).toMatchObject({ severity: DiagnosticSeverity.Hint, message: 'No feed. Accepted: CORK PAD' })
  })

  it.each([[{ start: 4, end: 4 }, 1, 0, 1], [{ start: 10, end: 10 }, 1, 5, 6], [{ start: 15, end: 15 }, 3, 2, 3]])(
    'have a character to stand under: %o', (span, line, from, to) => {
      const [one] = toDiagnostics([finding({ span })], places).get(program.uri) ?? []
      expect(one.range).toEqual({ start: { line, character: from }, end: { line, character: to } })
    })
})

describe('levels of the user', () => {
  it('replace the rule\'s own, and off leaves it out', () => {
    const all = [finding({}), finding({ rule: 'gouge' }), finding({ rule: 'axis-rate', level: 'warning' })]
    expect(withLevels(all, { gouge: 'off', 'axis-rate': 'error' }).map(one => [one.rule, one.level]))
      .toEqual([['missing-feed', 'error'], ['axis-rate', 'error']])
  })
})
