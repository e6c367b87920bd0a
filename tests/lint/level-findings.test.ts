import { expect, test } from 'vitest'
import { allRules } from '../../server/engine/lint/all-rules.ts'
import { levelOf, toFindings } from '../../server/engine/lint/level-findings.ts'
import { rulePage, rulesList, rulesPage } from '../../server/engine/lint/rule-page.ts'

const at = (start: number) => ({ start, end: start + 1 })

test('the level comes from the user, else from the case, else from the rule', () => {
  expect(levelOf('missing-feed')).toBe('error')
  expect(levelOf('missing-feed', {}, 'note')).toBe('note')
  expect(levelOf('missing-feed', { 'missing-feed': 'warning' }, 'note')).toBe('warning')
})

test('findings stand in the order of the text, those of the program before those of other files', () => {
  const findings = toFindings([
    { rule: 'setup-error', span: at(0), message: 'a', file: 'a.setup.json' },
    { rule: 'missing-speed', span: at(9), message: 'b' },
    { rule: 'missing-feed', span: at(9), message: 'c' },
    { rule: 'unknown-code', span: at(2), message: 'd' },
  ])
  expect(findings.map(finding => finding.message)).toEqual(['d', 'c', 'b', 'a'])
})

test('a page shows what, why, what to do and every example', () => {
  for (const rule of allRules) {
    const page = rulePage(rule)
    expect(page.startsWith(`## ${rule.id}\n`)).toBe(true)
    for (const text of [rule.docs.what, rule.docs.why, rule.docs.instead]) expect(page).toContain(text)
    for (const { program, title } of [...rule.bad, ...rule.good]) {
      expect(page).toContain(title)
      expect(page).toContain(program.trim())
    }
    expect(page.split('```').length % 2, 'every fence is closed').toBe(1)
  }
})

test('the list names every rule once, one to a line', () => {
  const lines = rulesList(allRules).trimEnd().split('\n')
  expect(lines.map(line => line.split(' ')[0])).toEqual(allRules.map(rule => rule.id))
})

test('every link of the contents leads to a heading', () => {
  const page = rulesPage(allRules)
  const links = [...page.matchAll(/\]\(#([a-z-]+)\)/g)].map(([, id]) => id)
  expect(links.length).toBe(allRules.length)
  for (const id of links) expect(page).toContain(`\n## ${id}\n`)
})
