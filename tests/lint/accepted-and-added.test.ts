import { describe, expect, test } from 'vitest'
import type { Edit, Finding } from '../../shared/finding.ts'
import { acceptanceOf } from '../../server/engine/features/acceptance.ts'
import { sheetAddition, viewProgram } from '../../server/engine/editor-service.ts'
import { allRules } from '../../server/engine/lint/all-rules.ts'
import type { RuleExample } from '../../server/engine/lint/rule.ts'
import { lineOf, lineStartsOf, openScene, readProgram } from '../../server/engine/service.ts'
import { runExample } from '../harness/check-example.ts'
import { readRemarks } from '../harness/expectations.ts'

// The quick fixes that every rule has, made in the bad examples of the rules, which are then checked again: a comment that accepts
// the finding covers it, and what is added to the sheet ends it. Fixes of single rules: fixes.test.ts; limits: set-limit.test.ts.

/** About a comment that accepts, or about the program as a whole: the editor does not offer to accept these (tests/lsp/quick-fixes.test.ts). */
const unacceptable = new Set(['waiver-unused', 'waiver-without-reason', 'setup-not-found', 'several-setups'])

// What is measured over the whole part takes a second an example; one of them stands for the three.
const rules = allRules.filter(({ id }) => id !== 'scallop' && id !== 'undercut-unreached')

describe('a comment that accepts', () => {
  test.each(rules.filter(({ id }) => !unacceptable.has(id)))('$id covers the findings of its bad example', ({ id, bad }) => {
    const [example] = bad
    if (example === undefined) throw new Error('the rule has no example')
    const text = readRemarks(example.program).program, starts = lineStartsOf(text)
    for (const finding of runExample(example).findings.filter(({ rule, file }) => rule === id && file === undefined)) {
      const { line, text: comment } = acceptanceOf(text, lineOf(starts, finding.span.start), id, 'TRIED ON THE MACHINE', finding)
      const at = starts[line] ?? 0, after = runExample({ ...example, program: text.slice(0, at) + comment + text.slice(at) }).findings
      // Words of the message may name lines, which have moved by one.
      const covered = after.filter(({ rule, waiver }) => rule === id && waiver?.reason === 'TRIED ON THE MACHINE')
      expect(covered.length, finding.message).toBeGreaterThanOrEqual(1)
      expect(after.filter(({ rule }) => rule === 'waiver-unused')).toEqual([])
    }
  })
})

describe('what the sheet lacks', () => {
  const lacking = rules.filter(({ id }) => id === 'tool-not-in-setup' || id === 'unset-work-offset')

  test.each(lacking.flatMap(({ id, bad }) => bad.map(example => ({ id, ...example }))))('$id: $title', ({ id, ...example }) => {
    const added = additions(example, id)
    expect(added.length).toBeGreaterThan(0)
    for (const { finding, sheet } of added) {
      const open = runExample({ ...example, setup: sheet }).findings.filter(({ rule, message }) => rule === 'setup-error' && message.includes('still to be filled in'))
      expect(open.length).toBe(sheet.match(/null/g)?.length)
      const after = runExample({ ...example, setup: filledIn(sheet) }).findings
      expect(after.filter(({ rule, span }) => rule === id && span.start === finding.span.start)).toEqual([])
      const before = runExample(example).findings.map(({ message }) => message)
      expect(after.filter(({ rule, message }) => rule === 'setup-error' && !before.includes(message))).toEqual([])
    }
  })
})

function additions(example: RuleExample, id: string): { readonly finding: Finding, readonly sheet: string }[] {
  const sheet = readRemarks(example.setup ?? '').program, text = readRemarks(example.program).program
  const scene = openScene({ path: 'example.setup.json', text: sheet }, undefined), file = { path: 'example.nc', text }, program = readProgram(file, scene), view = viewProgram(program, scene)
  return program.findings.filter(({ rule }) => rule === id).flatMap(finding => {
    const addition = sheetAddition(id, view.stateAt(lineOf(program.lineStarts, finding.span.start) + 1), file, sheet)
    return addition === undefined ? [] : [{ finding, sheet: applied(sheet, addition.edits) }]
  })
}

/** Something possible in the place of each null. */
function filledIn(sheet: string): string {
  return sheet.replaceAll('"shape": null', '"shape": "ball"').replaceAll('"point": null', '"point": "tip"').replaceAll('"LCF": null', '"LCF": 8').replaceAll('"LPR": null', '"LPR": 40').replaceAll(/"(diameter|length)": null/g, '"$1": 30').replaceAll('null', '6')
}

function applied(text: string, edits: readonly Edit[]): string {
  return edits.toReversed().reduce((now, { span, text: by }) => now.slice(0, span.start) + by + now.slice(span.end), text)
}
