import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { runToolwake } from '../harness/run-toolwake.ts'

// What README.md shows of the sample is what the command prints for it today, to the last digit.

const readme = readFileSync(new URL('../../README.md', import.meta.url), 'utf8')
const root = fileURLToPath(new URL('../../', import.meta.url))

test('the finding in README.md is the one the check prints', async () => {
  const shown = /```text\n(ERROR gouge[\s\S]*?)```/.exec(readme)?.[1]
  expect(shown).toContain('throat-edited.nc:2430:8')
  const { code, output } = await runToolwake(['check', 'samples/duct/throat-edited.nc'], { folder: root })
  expect(code).toBe(1)
  expect(output).toContain(shown)
})

test('the edit and the acceptance of its tour do what it says', async () => {
  const [, wrong, right] = /Change `(\S+)` back to `(\S+)`\. The finding goes\./.exec(readme) ?? [], [, comment, block] = /^ *(\(ACCEPT .*\))\n *(N\d+ .*)$/m.exec(readme) ?? []
  const program = readFileSync(`${root}samples/duct/throat-edited.nc`, 'utf8'), lines = program.split('\n')
  expect([lines[2429].includes(wrong), lines.includes(block)]).toEqual([true, true])
  const folder = mkdtempSync(join(tmpdir(), 'toolwake-tour-'))
  try {
    writeFileSync(join(folder, 'tour.nc'), program.replace(lines[2429], lines[2429].replace(wrong, right)).replace(block, `${comment}\n${block}`))
    const { output } = await runToolwake(['check', join(folder, 'tour.nc'), '--setup', 'samples/duct/duct.setup.json'], { folder: root })
    expect(output).not.toContain('ERROR gouge')
    expect(output).toMatch(/ACCEPTED holder-clearance|holder-clearance .*accepted/i)
    expect(output).toContain('CORK PAD ONLY, 2026-03')
    expect(output).not.toContain('waiver')
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
})
