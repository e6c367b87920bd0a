import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { runToolwake } from '../harness/run-toolwake.ts'

// The one finding that README.md prints is what the command prints for the sample today, to the last digit.

const root = fileURLToPath(new URL('../../', import.meta.url))

test('the finding in README.md is the one the check prints', async () => {
  const shown = /```text\n(ERROR gouge[\s\S]*?)```/.exec(readFileSync(`${root}README.md`, 'utf8'))?.[1]
  expect(shown).toContain('throat-edited.nc:2430:8')
  const { code, output } = await runToolwake(['check', 'samples/duct/throat-edited.nc'], { folder: root })
  expect(code).toBe(1)
  expect(output).toContain(shown)
})
