import { describe, expect, it } from 'vitest'
import { TextDocument } from '../../server/lsp/protocol.ts'
import { readDocument } from '../../server/lsp/read-document.ts'
import { lineStartsOf } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// Held to the document of the protocol's own package.

describe('the document of a reading', () => {
  it('has places where the package has them, 300 texts, seed 61', () => {
    const random = new SeededRandom(61)
    for (let n = 0; n < 300; n++) {
      const text = Array.from({ length: random.whole(0, 60) }, () => random.pick(['G1', 'X1.', ' ', '\n', '\r\n', '\r', 'é'])).join('')
      const ours = readDocument('untitled:a', 'nc', 3, { text, lineStarts: lineStartsOf(text) }), theirs = TextDocument.create('untitled:a', 'nc', 3, text)
      expect(ours).toMatchObject({ uri: 'untitled:a', languageId: 'nc', version: 3, lineCount: theirs.lineCount })
      expect(ours.getText()).toBe(text)
      for (let offset = -2; offset < text.length + 3; offset++) expect(ours.positionAt(offset), `${JSON.stringify(text)} at ${offset}`).toEqual(theirs.positionAt(offset))
      for (let line = -1; line <= theirs.lineCount; line++) {
        for (const character of [-1, 0, 1, 3, 99]) expect(ours.offsetAt({ line, character }), `${JSON.stringify(text)} at ${line}:${character}`).toBe(theirs.offsetAt({ line, character }))
      }
    }
  })
})
