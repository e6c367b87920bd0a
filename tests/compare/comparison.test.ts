import { describe, expect, test } from 'vitest'
import { comparisonSections, verdictOf } from '../../server/engine/service.ts'
import { compareTexts } from './compare-texts.ts'

const program = `%
O0001
N10 G21 G17 G40 G49 G54 G80 G90 G94
N20 T1 M6
N30 S8000 M3
N40 G0 X0. Y0.
N50 G43 H1 Z20. M8
N60 G1 Z0. F300.
N70 X40. F800.
N80 G3 X50. Y10. I0. J10.
N90 G1 Y30.
N100 X0.
N110 M1
N120 G0 Z20.
N130 G49 M5
N140 M30
%
`

const edited = (from: string, to: string) => compareTexts(program, program.replace(from, to))
const changed = (from: string, to: string) => edited(from, to).changes

describe('no change', () => {
  test.each<[string, string]>([
    ['renumbered', program.replace(/N(\d+)/g, (_, number: string) => `N${Number(number) * 5 + 3}`)],
    ['comments, blanks, small letters, other line ends', program.replace('X40.', 'x 40.000 (ROUGH)').replaceAll('\n', '\r\n')],
    ['modal codes said again, and words in another order', program.replace('N70 X40. F800.', 'N70 G1 F800. X40.').replace('N10 G21 G17', 'N10 G17 G21')],
    ['incremental instead of absolute', program.replace('N90 G1 Y30.\nN100 X0.', 'N90 G91 G1 Y20.\nN100 X-50.\nG90')],
    ['an arc by its radius', program.replace('I0. J10.', 'R10.')],
  ])('%s', (_what, text) => {
    const comparison = compareTexts(program, text)
    expect(comparison).toMatchObject({ changes: [], states: [], words: { gone: [], new: [] }, isSameText: false })
    expect(verdictOf(comparison)[0]).toMatch(/^The edit changes no motion, feed, speed, tool or offset/)
  })

  test('a line in two blocks is the same way, and is said to be', () => {
    const comparison = edited('N70 X40. F800.', 'N70 X13.2 F800.\nN75 X40.')
    expect(comparison).toMatchObject({ changes: [], rewritten: 1, states: [] })
    expect(verdictOf(comparison)[0]).toContain('writes the same way in other blocks in one place')
  })

  test('the same text', () => {
    expect(verdictOf(compareTexts(program, program))).toEqual(['Both programs are the same text.'])
  })
})

describe('motion', () => {
  test('a changed figure: how far, in which line, as far as it stays in force', () => {
    const [change, ...more] = changed('N90 G1 Y30.', 'N90 G1 Y30.25')
    expect(more).toEqual([])
    expect(change).toMatchObject({ oldLines: { first: 11, last: 14 }, newLines: { first: 11, last: 14 }, oldMotions: 3, newMotions: 3 })
    expect(change.tool?.point.value).toBeCloseTo(0.25, 9)
    expect(change.tool?.point.atMost).toBeLessThan(0.2502)
    expect(change.tool?.point).toMatchObject({ newLine: 11, oldLine: 11 })
    expect(change.tool?.axis.atMost).toBe(0)
  })

  test('a block taken out: what its corner stood off the way that is run now', () => {
    // From (50 10) to (50 30) to (0 30), now straight: the corner is 50 × 20 / √(50² + 20²) off.
    const [change] = changed('N90 G1 Y30.\nN100 X0.', 'N100 G1 X0. Y30.')
    expect(change).toMatchObject({ oldMotions: 2, newMotions: 1 })
    expect(change.tool?.point.value).toBeCloseTo(50 * 20 / Math.hypot(50, 20), 3)
  })

  test('an arc turned the other way bulges to the other side', () => {
    // Chord from (40 0) to (50 10), radius 10: each arc stands 10 - 10 / √2 off it.
    const [change] = changed('N80 G3 X50. Y10. I0. J10.', 'N80 G2 X50. Y10. R10.')
    expect(change.tool?.point.value).toBeCloseTo(2 * (10 - 10 / Math.SQRT2), 3)
  })

  test('the end of a program cut off', () => {
    const [change] = changed('N120 G0 Z20.\n', '')
    expect(change.oldLines).toEqual({ first: 14, last: 14 })
    expect(change.newLines).toBeUndefined()
    expect(change.tool?.point.value).toBeCloseTo(20, 6)
  })

  test('a whole turn more of a rotary axis is told although the tool stands as before', () => {
    const turned = compareTexts(program.replace('N40 G0', 'N40 G0 C10.'), program.replace('N40 G0', 'N40 G0 C370.'))
    const rotary = turned.changes.map(change => change.rotary?.angle ?? 0)
    expect(Math.max(...rotary)).toBeCloseTo(2 * Math.PI, 9)
  })

  test('motion whose place is not known is compared by its words, which is said', () => {
    const before = program.replace('N60 G1 Z0.', 'N60 G1 Z#500')
    const comparison = compareTexts(before, before.replace('N70 X40.', 'N70 X41.'))
    const told = [...verdictOf(comparison), ...comparisonSections(comparison).flatMap(({ lines }) => lines)].join('\n')
    expect(comparison.changes.length).toBeGreaterThan(0)
    expect(told).toContain('not known')
  })
})

describe('what is in force', () => {
  test.each<[string, string, string, object]>([
    ['feed', 'F800.', 'F900.', { kind: 'feed', from: 'F800', to: 'F900', firstLine: 9, lastLine: 12, blocks: 4 }],
    ['speed', 'S8000', 'S6000', { kind: 'spindle', from: 'S8000 M3', to: 'S6000 M3', firstLine: 7 }],
    ['coolant', ' M8', '', { kind: 'coolant', from: 'on', to: 'off', firstLine: 7 }],
    ['rapid for feed', 'N100 X0.', 'N100 G0 X0.', { kind: 'rapid', from: 'feed', to: 'rapid', firstLine: 12, lastLine: 12 }],
  ])('%s', (_what, from, to, state) => {
    const comparison = edited(from, to)
    expect(comparison.states).toContainEqual(expect.objectContaining(state))
    expect(verdictOf(comparison)[0]).toMatch(/^The edit changes/)
  })

  test('another tool and another offset are told, and so is the way they change', () => {
    expect(edited('T1 M6', 'T2 M6').states).toContainEqual(expect.objectContaining({ kind: 'tool', from: 'T1', to: 'T2' }))
    const offset = edited('G54', 'G55')
    expect(offset.states).toContainEqual(expect.objectContaining({ kind: 'work-offset', from: 'G54', to: 'G55' }))
    // G55 of the sheet stands 5 mm aside; every block keeps its partner by its words.
    expect(Math.max(...offset.changes.map(({ tool }) => tool?.point.value ?? 0))).toBeCloseTo(5, 6)
  })

  test('a value that only the control works out is said to be not known', () => {
    expect(edited('F800.', 'F#4109').states).toContainEqual(expect.objectContaining({ kind: 'feed', from: 'F800', to: 'F not known here' }))
    expect(edited('S8000', 'S#4119').states).toContainEqual(expect.objectContaining({ kind: 'spindle', from: 'S8000 M3', to: 'S not known here M3' }))
  })

  test('one change of a kind is told with its values', () => {
    expect(verdictOf(edited('F800.', 'F900.'))[0]).toBe('The edit changes the feed (F800 before, F900 now).')
  })

  test('a tool that the sheet does not know has no length, so no distance is made up for its point', () => {
    const comparison = edited('T1 M6', 'T9 M6')
    expect(comparison.changes.length).toBeGreaterThan(0)
    expect(comparison.changes.map(({ tool }) => tool)).toEqual(comparison.changes.map(() => undefined))
    expect(verdictOf(comparison).join('\n')).toContain('Where the tool stands is not known in all of it')
  })

  test('F in inverse time that gives the same times is no change', () => {
    const inverse = program.replace('N90 G1 Y30.\nN100 X0.', 'N90 G93 G1 Y30. F40.\nN100 X0. F16.\nG94')
    expect(compareTexts(program, inverse).states.filter(({ kind }) => kind === 'feed')).toEqual([])
  })
})

describe('words that show in no motion', () => {
  test('a stop that is gone, and one that is new', () => {
    expect(edited('N110 M1\n', '').words).toEqual({ gone: [{ line: 13, words: 'M1' }], new: [] })
    expect(edited('N90 G1 Y30.', 'N90 G1 Y30. M88').words).toEqual({ gone: [], new: [{ line: 11, words: 'M88' }] })
    expect(edited('N100 X0.', 'N95 G4 P2000\nN100 X0.').words).toEqual({ gone: [], new: [{ line: 12, words: 'G4 P2000' }] })
  })
  test('a spindle or coolant code before a stop, which no motion shows', () => {
    const stopped = program.replace('N110 M1\n', 'N105 M5\nN107 M9\nN110 M1\nN115 M3 M8\n'), running = stopped.replace('N105 M5\nN107 M9\n', '')
    const comparison = compareTexts(stopped, running)
    expect(comparison).toMatchObject({ changes: [], states: [], words: { gone: [{ line: 13, words: 'M5' }, { line: 14, words: 'M9' }], new: [] } })
    expect(verdictOf(comparison)[0]).toBe('The edit changes words that show in no motion.')
  })
  test('a block that is put under a block skip keeps its findings, and the verdict warns of the switch', () => {
    const before = program.replace('N30 S8000 M3\n', 'N30 S8000\n'), comparison = compareTexts(before, before.replace('N60 G1', '/N60 G1'))
    expect([...comparison.findings.stateOf.values()].filter(state => state === 'new')).toEqual([])
    expect(comparison.findings.absent).toEqual([])
    expect(verdictOf(comparison).join('\n')).toContain('Blocks under a block skip (/) differ')
    expect(verdictOf(edited('N100 X0.', 'N100 X0. M1')).join('\n')).not.toContain('block skip')
  })
  test('a stop in another place is gone there and new here', () => {
    const moved = compareTexts(program, program.replace('N110 M1\n', '').replace('N70 X40.', 'N65 M1\nN70 X40.'))
    expect(moved.words).toEqual({ gone: [{ line: 13, words: 'M1' }], new: [{ line: 9, words: 'M1' }] })
  })
})

describe('findings', () => {
  test('new, unchanged and gone, whatever the lines they stand in', () => {
    const before = program.replace('N30 S8000 M3\n', 'N30 S8000\n'), after = `%\n(COPY)\n${before.slice(2).replace('N90 G1', 'N90 G777 G1')}`
    const { stateOf, absent } = compareTexts(before, after).findings
    const states = [...stateOf].map(([finding, state]) => `${finding.rule}: ${state}`)
    expect(states).toContain('spindle-stopped: unchanged')
    expect(states).toContain('unknown-code: new')
    expect(absent).toEqual([])
    expect(compareTexts(before, program).findings.absent.map(({ rule }) => rule)).toContain('spindle-stopped')
  })

  test('what was not checked is no part of the verdict, which says so', () => {
    const written = edited('N50 G43', 'N45 G10 L10 P1 R99.5\nN50 G43')
    expect(verdictOf(written).join('\n')).toContain('finding below says that something was not checked')
    expect(verdictOf(edited('N90 G1 Y30.', 'N90 G1 Y30.25')).join('\n')).not.toContain('was not checked')
  })
})
