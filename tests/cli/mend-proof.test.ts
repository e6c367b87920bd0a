import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { PlateWithStop } from '../harness/plate-with-stop.ts'
import { runToolwake } from '../harness/run-toolwake.ts'
import { SideJob } from '../harness/side-job.ts'

// A path over the plate that has to end at a stop, and a gouge farther on: ending the path leaves uncut what lies beyond the stop. Where the sheet asks
// what is left, or a rapid of another tool comes down there, the path stays as it is; the gouge is mended all the same.

const job = new PlateWithStop()
const read = (name: string) => readFileSync(join(job.folder, name), 'utf8')

beforeAll(() => {
  job.write('path.nc', job.path)
  job.write('rapid.nc', job.rapid)
  job.write('plain.setup.json', job.sheetWith(''))
  job.write('left.setup.json', job.sheetWith(', "leftover": 0.05'))
  job.write('stock.setup.json', job.sheetWith(', "leftover": 5', '"stock": { "box": { "min": [0, 0, -10], "max": [40, 30, 0.5] }, "pitch": 0.2 },\n  '))
})
afterAll(() => job.remove())

async function mend(program: string, setup: string) {
  const { output } = await runToolwake(['mend', program, '--setup', setup, '--output', 'mended.nc'], { folder: job.folder })
  const before = read(program).split('\n'), after = read('mended.nc').split('\n')
  return { output, changed: after.filter(line => !before.includes(line)) }
}

describe('a mend is held against the whole check of the mended program', () => {
  test('what the sheet does not ask for does not count, and is named', async () => {
    const { output, changed } = await mend('rapid.nc', 'plain.setup.json')
    expect(changed).toEqual(expect.arrayContaining(['N102 X21.', 'N130 X15. Z0.']))
    expect(output).toContain('Checked again from the first block to the last, and nothing is worse: the text, travel and rates, contact with the part, the barrier "stop".')
    expect(output).toMatch(/^Not checked again: fixtures \(the sheet names none\), the bodies of the machine \(the machine file has none\), the stock \(the sheet states none\), what is left on the part \(/m)
  })

  test('material that it would leave standing is a reason to leave the path as it is', async () => {
    const { output, changed } = await mend('path.nc', 'left.setup.json')
    expect(changed).toEqual(['N130 X15. Z0.'])
    expect(output).toMatch(/^NOT MENDED barrier-crossed {2}N102 to N106/m)
    expect(output).toMatch(/^ {2}end-at: (?:leftover|undercut-unreached): .*mm²/m)
    expect(output).toMatch(/^MENDED gouge/m)
    // The cut that was too deep had taken a little of the ridge beside it.
    expect(output).toMatch(/^LEFT STANDING more than before {2}scallop: Ridges up to 0\.163 mm/m)
    expect(output).toMatch(/^Checked again .*: the text, .*, what is left on the part\.$/m)
  })

  test('so is a later rapid that would run into material', async () => {
    const { output, changed } = await mend('rapid.nc', 'stock.setup.json')
    expect(changed).toEqual(['N130 X15. Z0.'])
    expect(output).toMatch(/^ {2}end-at: rapid-into-stock: Tool 2's cutter runs/m)
    expect(output).toMatch(/^Checked again .*: .*the stock, what is left on the part\.$/m)
  })

  test('what the sheet\'s own plan leaves standing is told', async () => {
    job.write('plan.setup.json', job.sheetWith(', "leftover": 0.05', '"passes": [{ "from": "N90", "to": "N106", "mend": [{ "by": "end-at", "barrier": "stop" }] }],\n  '))
    const { output, changed } = await mend('path.nc', 'plan.setup.json')
    expect(changed).toContain('N102 X21.')
    expect(output).toMatch(/^LEFT STANDING more than before {2}(?:leftover|undercut-unreached): /m)
    expect(output).toMatch(/^Checked again .*, and nothing else is worse: /m)
  })
})

describe('a longer stick-out is held against the whole check with it', () => {
  const side = new SideJob()
  afterAll(() => side.remove())

  const mendSide = async (setup: string) => {
    const { output } = await runToolwake(['mend', 'side.nc', '--setup', setup, '--output', 'mended.nc', '--setup-output', 'longer.setup.json'], { folder: side.folder })
    return output.split('\n')
  }

  test('the stock and what is left included', async () => {
    const output = await mendSide('clear.setup.json'), at = output.findIndex(line => line.startsWith('STICK-OUT'))
    expect(output).toContain('  lean: the machine has no rotary axis')
    expect(output[at]).toMatch(/^STICK-OUT of tool 1: with LPR 16\.1 mm instead of 14 its holder keeps its distance in the whole program \(proven\); .* longer\.setup\.json/)
    expect(output[at + 1]).toMatch(/^Checked again with it from the first block to the last, and nothing is worse: .*, the stock, what is left on the part\.$/)
    expect(readFileSync(join(side.folder, 'longer.setup.json'), 'utf8')).toBe(side.sheetWith('layer.stl').replace('"LPR": 14', '"LPR": 16.1'))
    const { output: checked } = await runToolwake(['check', 'side.nc', '--setup', 'longer.setup.json', '--only', 'holder-contact,holder-clearance'], { folder: side.folder })
    expect(checked).not.toMatch(/^(?:ERROR|WARNING)/m)
  })

  test('not where it would bring the holder into the stock', async () => {
    const output = await mendSide('ledge.setup.json')
    expect(output.find(line => line.startsWith('STICK-OUT'))).toMatch(/^STICK-OUT of tool 1: with 16\.1 mm the holder would be clear of the part, but holder-contact: Tool 1's holder runs .* into the stock/)
  })
})
