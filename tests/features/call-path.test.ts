import { describe, expect, test } from 'vitest'
import { contactFindings, newContactFigures, openScene, readProgram } from '../../server/engine/service.ts'
import type { Finding } from '../../shared/finding.ts'
import type { PartMesh } from '../../server/engine/service.ts'

// A fault in a block that runs several times is told once, at its worst run, with the calls that led there.

const sheet = JSON.stringify({
  units: 'mm', offsets: { G54: { X: 0, Y: 0, Z: 0, A: 0, C: 0 } }, limits: { gouge: 0.01 },
  tools: [{ number: 1, name: 'ball 4', cutter: { shape: 'ball', DC: 4, LCF: 6 }, LPR: 30 }],
})
const scene = openScene({ path: 'job.setup.json', text: sheet }, undefined)
const head = 'G21 G17 G90 G94 G40 G49 G80 G54\nT1 M6\nS8000 M3\nG0 X0. Y0. Z50. A0. C0.\n'

function findingsOf(text: string, rule: string, files: Readonly<Record<number, string>> = {}) {
  const program = readProgram({ path: 'main.nc', text }, scene, {
    programs: number => files[number] === undefined ? undefined : { path: `O${number}.nc`, text: files[number] },
  })
  return { program, found: program.findings.filter(one => one.rule === rule) }
}

const words = (text: string, { related = [] }: Pick<Finding, 'related'>, files: Readonly<Record<string, string>> = {}) =>
  related.map(one => `${one.file ?? 'main.nc'} "${(one.file === undefined ? text : files[one.file])?.slice(one.span.start, one.span.end).trim()}" ${one.message}`)

describe('a motion rule', () => {
  test('in a program that is called twice: one finding, its worst run, the call of that run', () => {
    const text = `${head}M98 P100\nG91 G0 X30. G90\nM98 P100\nM30\nO100\nG91 G1 X290. F500.\nX-290. G90\nM99\n`
    const { found } = findingsOf(text, 'travel-limit')
    expect(found).toHaveLength(1)
    expect(text.slice(found[0].span.start, found[0].span.end)).toBe('X290.')
    expect(found[0].message).toContain('320 mm')
    expect(found[0].message).toContain('The block runs 2 times; this is run 2.')
    expect(words(text, found[0])).toEqual(['main.nc "M98 P100" O100 is called here.'])
    // The second call, not the first.
    expect(found[0].related?.[0].span.start).toBe(text.lastIndexOf('M98'))
  })

  test('in a loop: one finding, its worst run', () => {
    const text = `${head}#1=0\nG1 F500.\nWHILE [#1 LT 4] DO1\nX[280.+#1*10]\nX0.\nX1.\nX2.\nX3.\nX4.\nX5.\nX6.\nX7.\nX8.\n#1=#1+1\nEND1\nM30\n`
    const { found } = findingsOf(text, 'travel-limit')
    expect(found.map(one => text.slice(one.span.start, one.span.end))).toEqual(['X[280.+#1*10]'])
    expect(found[0].message).toContain('310 mm')
    expect(found[0].message).toContain('The block runs 4 times; this is run 4.')
    expect(found[0].related ?? []).toEqual([])
  })

  test('in a called file: at the call, with the block of the file and the whole way', () => {
    const text = `${head}M98 P100\nM30\nO100\nM98 P7\nM99\n`, file = 'O7\nG1 F500.\nX100.\nX310. (TOO FAR)\nX0.\nM99\n'
    const { found } = findingsOf(text, 'travel-limit', { 7: file })
    expect(found).toHaveLength(1)
    expect(found[0].file).toBeUndefined()
    expect(words(text, found[0], { 'O7.nc': file })).toEqual([
      'O7.nc "X310. (TOO FAR)" The motion stands here.', 'main.nc "M98 P7" O7 is called here.', 'main.nc "M98 P100" O100 is called here.',
    ])
  })

  test('where nothing is called or repeated, says nothing of calls', () => {
    const { found, program } = findingsOf(`${head}G1 X310. F500.\nM30\n`, 'travel-limit')
    expect(found).toHaveLength(1)
    expect([found[0].related, program.toolpath.pass, program.toolpath.ownLine, program.toolpath.callOf]).toEqual([undefined, undefined, undefined, undefined])
    expect(found[0].message).not.toContain('runs')
  })
})

test('a state rule in a called program names the call', () => {
  const text = `${head}M98 P100\nM30\nO100\nG1 X1.\nM99\n`
  const { found } = findingsOf(text, 'missing-feed')
  expect(found).toHaveLength(1)
  expect(words(text, found[0])).toEqual(['main.nc "M98 P100" O100 is called here.'])
})

test('a contact finding of a block that runs several times, at several places of the part, is one', () => {
  const text = `${head}#1=0\nG91 G1 F500.\nWHILE [#1 LT 5] DO1\nX20.\nZ1.\nZ-1.\n#1=#1+1\nEND1\nM30\n`
  const { program } = findingsOf(text, 'gouge')
  const { toolpath } = program
  // Figures as a search would give them: the block X20. cuts deeper from run to run, ever 20 mm further on.
  const figures = newContactFigures(0, toolpath.count)
  figures.value.fill(Infinity)
  figures.certified.fill(Infinity)
  let run = 0
  for (let i = 0; i < toolpath.count; i++) {
    if (text.split('\n')[toolpath.line[i]] !== 'X20.') continue
    run++
    figures.value[i * 4] = figures.certified[i * 4] = -0.1 * run
    figures.point[i * 12] = 20 * run
  }
  expect(run).toBe(5)
  const mesh = { corners: new Float64Array(), chordErrors: new Float64Array(), min: [0, 0, 0], max: [1, 1, 1] } as unknown as PartMesh
  const found = contactFindings(program, scene, mesh, figures).filter(one => one.rule === 'gouge')
  expect(found).toHaveLength(1)
  expect(found[0].contact).toMatchObject({ blocks: 1, depth: 0.5, worstLine: 8 })
  expect(found[0].message).toContain('The block runs 5 times; this is run 5.')
})
