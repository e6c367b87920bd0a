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

describe('a called file', () => {
  const place = (found: readonly Finding[], file: string) => found.map(one => [one.file, file.slice(one.span.start, one.span.end)])

  test('has its faults of state told at its own block, with the calls that led there, once', () => {
    const text = `${head}M98 P100 L3\nM98 P7\nM30\nO100\nM98 P7\nM99\n`, file = 'O7\nG1 X1.\nX2.\nG0 X0.\nM99\n'
    const { found } = findingsOf(text, 'missing-feed', { 7: file })
    expect(place(found, file)).toEqual([['O7.nc', 'G1']])
    expect(words(text, found[0], { 'O7.nc': file })).toEqual(['main.nc "M98 P7" O7 is called here.', 'main.nc "M98 P100 L3" O100 is called here.'])
  })

  test('takes over the state of its caller, and leaves its own behind', () => {
    const file = 'O7\nG1 X1.\nM5\nM99\n', text = `${head}F500.\nM98 P7\nG1 X5.\nM30\n`
    expect(findingsOf(text, 'missing-feed', { 7: file }).found).toEqual([])
    const { found } = findingsOf(text, 'spindle-stopped', { 7: file })
    expect(found.map(one => [one.file, text.slice(one.span.start, one.span.end)])).toEqual([[undefined, 'G1']])
  })

  test('has its text judged by itself, with where it is called first', () => {
    const text = `${head}N10 F500.\nN20 M98 P7\nM98 P7\nM30\n`, file = 'O7\nN10 G1 X1.\nN20 X25\nN20 X3.\nM99\n'
    const doubles = findingsOf(text, 'duplicate-sequence-number', { 7: file }).found
    expect(place(doubles, file)).toEqual([['O7.nc', 'N20']])
    // What stands beside it lies in the file too, and so do the calls in the program.
    expect(words(text, doubles[0], { 'O7.nc': file })).toEqual(['O7.nc "N20" N20 stands here first.', 'main.nc "N20 M98 P7" O7 is called here.'])
    expect(place(findingsOf(text, 'missing-decimal-point', { 7: file }).found, file)).toEqual([['O7.nc', 'X25']])
    expect(findingsOf(text, 'missing-program-end', { 7: file }).found).toEqual([])
  })

  test('does not end the program that calls it: M99 is its own', () => {
    const text = `${head}M98 P7\n`, { found } = findingsOf(text, 'missing-program-end', { 7: 'O7\nM99\n' })
    expect(found.map(one => text.slice(one.span.start, one.span.end))).toEqual(['M98 P7'])
  })

  test('may change and use tools, and speaks of what its caller has set where that stands', () => {
    const sheetOfTwo = JSON.stringify({ ...JSON.parse(sheet) as object, tools: [1, 2].map(number => ({ number, name: `ball ${number}`, cutter: { shape: 'ball', DC: 4, LCF: 6 }, LPR: 30, lengthOffset: number, maxSpeed: number * 4000 })) })
    const file = 'O7\nT1 M6\nM3\nG1 X1.\nM99\n', text = 'G21 G17 G90 G94 G40 G49 G80 G54\nT2 M6\nS8000 M3 G43 H2\nG1 X0. Y0. Z50. A0. C0. F500.\nM98 P7\nM30\n'
    const { findings } = readProgram({ path: 'main.nc', text }, openScene({ path: 'job.setup.json', text: sheetOfTwo }, undefined), { programs: () => ({ path: 'O7.nc', text: file }) })
    expect(findings.filter(one => one.rule === 'tool-never-used')).toEqual([])
    const [speed] = findings.filter(one => one.rule === 'overspeed'), [length] = findings.filter(one => one.rule === 'length-offset-mismatch')
    expect(place([speed, length], file)).toEqual([['O7.nc', 'M3'], ['O7.nc', 'G1']])
    for (const [finding, word] of [[speed, 'S8000'], [length, 'H2']] as const) {
      expect(words(text, finding, { 'O7.nc': file })[0]).toContain(`main.nc "${word}"`)
      expect(words(text, finding, { 'O7.nc': file }).at(-1)).toBe('main.nc "M98 P7" O7 is called here.')
    }
  })
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
