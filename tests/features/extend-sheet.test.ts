import { describe, expect, it } from 'vitest'
import type { Edit } from '../../shared/finding.ts'
import { sheetAddition } from '../../server/engine/editor-service.ts'
import { parseJson } from '../../server/engine/setup/json-tree.ts'

// Outside check: RFC 8259 by the language's own JSON.parse, once comments and trailing commas are taken out.

const program = { path: 'a.nc', text: 'G21 G17 G90 G94 G55\nT7 M6 (DRILL 6)\nG43 H7\nG0 X1. C90.\nM30\n' }
const state = { tool: 7, workOffset: 'G55' }

const styles: readonly (readonly [string, string])[] = [
  ['entries on lines of their own', '{\n  "units": "mm",\n  "offsets": {\n    "G54": { "X": 0, "Y": 0, "Z": 0, "C": 0 }\n  },\n  "tools": [\n    {\n      "number": 1\n    }\n  ]\n}\n'],
  ['a comma and a comment behind the last entry', '{\n  "offsets": {\n    "G54": { "X": 0 }, // first, vice\n  },\n  "tools": [\n    { "number": 1 }, // one, two\n  ],\n}\n'],
  ['a comment with a comma, and no comma', '{\n  "offsets": {\n    "G54": { "X": 0 } // first, vice\n  },\n  "tools": [\n    { "number": 1 } /* one, two */\n  ]\n}\n'],
  ['one line', '{ "offsets": { "G54": { "X": 0 } }, "tools": [{ "number": 1 }] }'],
  ['tabs and line ends of two characters', '{\r\n\t"offsets": {\r\n\t\t"G54": { "X": 0 }\r\n\t},\r\n\t"tools": [\r\n\t\t{ "number": 1 }\r\n\t]\r\n}\r\n'],
  ['nothing in them', '{\n  "offsets": {},\n  "tools": []\n}\n'],
  ['neither of them', '{\n  "units": "mm"\n}\n'],
]

describe('what a sheet lacks', () => {
  it.each(styles)('is added to a sheet with %s', (_style, sheet) => {
    const withTool = applied(sheet, sheetAddition('tool-not-in-setup', state, program, sheet)?.edits)
    const both = applied(withTool, sheetAddition('unset-work-offset', state, program, withTool)?.edits)
    expect(parseJson(both).fault).toBeUndefined()
    const before = valueOf(sheet), after = valueOf(both)
    expect(after.tools?.slice(0, -1)).toEqual(before.tools ?? [])
    expect(after.tools?.at(-1)).toMatchObject({ number: 7, cutter: { shape: null, DC: null, LCF: null }, shank: { DCONMS: null }, LPR: null, point: null, lengthOffset: 7 })
    const letters = Object.keys(before.offsets?.['G54'] ?? { X: 0, Y: 0, Z: 0, C: 0 })
    expect(after.offsets).toEqual({ ...before.offsets, G55: Object.fromEntries(letters.map(letter => [letter, null])) })
    expect(both.match(/FILL IN/g)?.length).toBeGreaterThan(5)
    expect(both).toContain('(DRILL 6)')
    // Line ends and indentation are those that stood there.
    expect(/[^\r]\n/.test(both)).toBe(/[^\r]\n/.test(sheet) || !sheet.includes('\r'))
    if (sheet.includes('\t')) expect(both).toMatch(/\n\t\t{\r\n\t\t\t"number": 7/)
    // All that stood there is still there, in its order.
    let at = 0
    for (const word of sheet.split(/\s+|(?=[{}[\],])/).filter(piece => piece !== '')) {
      at = both.indexOf(word, at)
      expect(at, word).toBeGreaterThanOrEqual(0)
    }
    // It is there now, though its values are still missing.
    expect(sheetAddition('tool-not-in-setup', state, program, both)).toBeUndefined()
    expect(sheetAddition('unset-work-offset', state, program, both)).toBeUndefined()
  })

  it('looks like the entries that stand there', () => {
    const [, sheet] = styles[0] ?? ['', '']
    expect(applied(sheet, sheetAddition('unset-work-offset', state, program, sheet)?.edits)).toContain(
      '    "G54": { "X": 0, "Y": 0, "Z": 0, "C": 0 },\n    // FILL IN: where the zero of G55 lies, in machine coordinates, as read off the machine (rotary axes in degrees).\n    "G55": { "X": null, "Y": null, "Z": null, "C": null }\n  },\n')
  })

  it('is not added where that cannot be sure', () => {
    expect(sheetAddition('tool-not-in-setup', state, program, '{ "tools": 3 }')).toBeUndefined()
    expect(sheetAddition('tool-not-in-setup', state, program, '{ "tools": [')).toBeUndefined()
    expect(sheetAddition('tool-not-in-setup', { tool: 8, workOffset: 'G54' }, program, '{}')).toBeUndefined()
    expect(sheetAddition('missing-feed', state, program, '{}')).toBeUndefined()
  })
})

function applied(text: string, edits: readonly Edit[] | undefined): string {
  expect(edits).toBeDefined()
  return [...edits ?? []].reverse().reduce((whole, { span, text: by }) => whole.slice(0, span.start) + by + whole.slice(span.end), text)
}

interface Sheet { readonly tools?: readonly unknown[], readonly offsets?: Readonly<Record<string, object>> }

function valueOf(text: string): Sheet {
  const plain = text.replaceAll(/\/\/[^\n]*|\/\*[\s\S]*?\*\//g, '').replaceAll(/,(\s*[}\]])/g, '$1')
  return JSON.parse(plain) as Sheet
}
