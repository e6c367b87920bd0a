import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, test } from 'vitest'
import { allRules } from '../../server/engine/lint/all-rules.ts'
import { check } from '../harness/check-example.ts'
import { filesBelow, root } from './source-files.ts'

describe('every rule', () => {
  test('has one file with its name, and stands in the list in alphabetical order', () => {
    const files = readdirSync(new URL('server/engine/lint/rules/', root)).map(file => file.replace(/\.ts$/, '')).sort()
    expect(allRules.map(rule => rule.id)).toEqual(files)
  })

  test.each(allRules)('$id: what, why and what to do are sentences', ({ docs }) => {
    for (const sentence of [docs.what, docs.why, docs.instead]) {
      expect(sentence).toMatch(/^[A-Z].*[.?]$/s)
      expect(sentence).not.toMatch(/invalid|illegal/i)
    }
  })

  describe.each(allRules)('$id', rule => {
    test.each(rule.bad)('reports: $title', example => {
      expect(example.program + (example.setup ?? '') + (example.machine ?? '')).toContain(` ${rule.id}`)
      expect(check(example, [rule.id])).toBe('')
    })
    test.each(rule.good)('does not report: $title', example => {
      expect(check(example, [rule.id])).toBe('')
    })
    test('has a bad and a good example', () => {
      expect(rule.bad.length).toBeGreaterThan(0)
      expect(rule.good.length).toBeGreaterThan(0)
    })
  })
})

test('every id that the engine and its edge report has a rule', () => {
  const known = new Set(allRules.map(rule => rule.id))
  const reported = filesBelow('server', '.ts').flatMap(path =>
    readFileSync(new URL(path, root), 'utf8').split('\n').filter(line => /\brule\b|\bsay\(/.test(line))
      .flatMap(line => [...line.matchAll(/'([a-z]+(?:-[a-z]+)+)'/g)].map(([, id]) => ({ path, id }))))
  expect(reported.length).toBeGreaterThan(50)
  expect(reported.filter(({ id }) => !known.has(id))).toEqual([])
})

test('RULES.md is what the rules say', () => {
  const output = execFileSync(process.execPath, [fileURLToPath(new URL('.scripts/generate.mjs', root)), '--check'], { encoding: 'utf8' })
  expect(output).toContain(`${allRules.length} rules`)
})
