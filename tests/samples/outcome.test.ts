import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { makeStl } from '../../samples/duct/make-stl.ts'
import { faults } from '../../samples/duct/faults.ts'
import { checkSample, placed } from './check-sample.ts'

const samples = join(import.meta.dirname, '..', '..', 'samples')
const read = (path: string) => readFileSync(join(samples, path), 'utf8')
const duct = { sheet: 'duct/duct.setup.json', machine: 'duct/duct.machine.json', mesh: makeStl() }

/** Levels the rules give of themselves, and the figures the README promises, mm. */
const promised: Readonly<Record<string, { level: string, figure?: number }>> = {
  'missing-feed': { level: 'error' },
  'shank-contact': { level: 'error', figure: 0.05 },
  'holder-clearance': { level: 'warning', figure: 0.4 },
  'gouge': { level: 'error', figure: 0.03 },
  'rotary-swing': { level: 'warning' },
  'missing-decimal-point': { level: 'warning' },
}

test('nothing is found in the clean program', () => {
  expect(checkSample({ ...duct, program: 'duct/throat.nc' })).toEqual([])
})

test('exactly the six faults are found in the edited program, each on its block', () => {
  const text = read('duct/throat-edited.nc'), lines = text.split('\n')
  const findings = checkSample({ ...duct, program: 'duct/throat-edited.nc' })
  const byLine = (a: { line: number }, b: { line: number }) => a.line - b.line
  expect(findings.map(finding => placed(finding, text)).sort(byLine)).toEqual(faults.map(({ block, rule }) => ({
    rule, level: promised[rule].level, line: lines.findIndex(line => line.startsWith(`${block} `)) + 1,
  })).sort(byLine))
  for (const { rule, contact, open } of findings) {
    const { figure } = promised[rule]
    if (figure === undefined) continue
    expect(open ?? false).toBe(false)
    expect(Math.abs((contact?.depth ?? contact?.clearance ?? Infinity) - figure)).toBeLessThan(0.003)
    expect(contact?.blocks).toBe(2)
  }
})

test('exactly the one gouge is found over the plate', () => {
  const text = read('plate/plate.nc')
  const mesh = new Uint8Array(readFileSync(join(samples, 'plate/plate.stl')))
  const findings = checkSample({ program: 'plate/plate.nc', sheet: 'plate/plate.setup.json', machine: 'duct/duct.machine.json', mesh })
  expect(findings.map(finding => placed(finding, text))).toEqual([{ rule: 'gouge', level: 'error', line: 15 }])
  // A ball whose tip stands 0.05 mm below a flat face cuts 0.05 mm deep.
  expect(Math.abs((findings[0].contact?.depth ?? 0) - 0.05)).toBeLessThan(0.0021)
})
