import { existsSync } from 'node:fs'
import { basename } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, test } from 'vitest'
import { ruleOf } from '../server/engine/lint/all-rules.ts'
import { check, runExample } from './harness/check-example.ts'
import { blockOf, isUpdating, readFixture, rewriteBlocks, type FixtureBlock, type FixtureTest } from './harness/fixture-file.ts'
import { printMotions } from './harness/print-motions.ts'
import { askFeature, features } from './harness/show-feature.ts'
import { filesBelow, root } from './house/source-files.ts'

// Every Markdown file of these folders is a list of tests. In tests/lint the file's name is the
// rule whose findings count; elsewhere all findings count. Those of tests/features ask what the editor asks.
const folders = ['tests/lint', 'tests/machine', 'tests/check', 'tests/features'].filter(folder => existsSync(new URL(folder, root)))
const files = folders.flatMap(folder => filesBelow(folder, '.md'))

test('there are fixtures', () => {
  expect(files.length).toBeGreaterThan(10)
})

describe.each(files)('%s', file => {
  const path = fileURLToPath(new URL(file, root))
  const changes: { block: FixtureBlock, text: string }[] = []
  afterAll(() => rewriteBlocks(path, changes))

  test.each(readFixture(path))('$name', fixture => {
    const input = inputOf(fixture)
    const asked = fixture.blocks.filter(({ language }) => Object.hasOwn(features, language))
    const motions = blockOf(fixture, 'motions')
    for (const block of asked) compare(block, askFeature(block.language, block.label, input))
    if (asked.length > 0) return
    const name = basename(file, '.md')
    const rules = file.startsWith('tests/lint/') ? [name] : undefined
    if (rules !== undefined) expect(ruleOf(name), `${name} is the name of a rule`).toBeDefined()
    // A fixture that only shows motions makes no claim about findings.
    if (motions === undefined || input.program.includes('^')) expect(check(input, rules)).toBe('')
    if (motions !== undefined) compare(motions, printMotions(runExample(input).toolpath))
  })

  function compare(block: FixtureBlock, text: string): void {
    if (isUpdating() && text !== block.text) changes.push({ block, text })
    else expect(text).toBe(block.text)
  }
})

function inputOf(fixture: FixtureTest) {
  const program = blockOf(fixture, 'nc')
  if (program === undefined) throw new Error(`"${fixture.name}" has no program: a block that begins with \`\`\`nc`)
  return { program: program.text, setup: blockOf(fixture, 'json')?.text, machine: blockOf(fixture, 'json', 'machine')?.text }
}
