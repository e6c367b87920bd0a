import { describe, expect, test } from 'vitest'
import { bareBlock } from '../../server/engine/service.ts'
import { renderSarif } from '../../server/cli/render-sarif.ts'
import { uriOf } from '../../server/cli/sarif-artifacts.ts'
import { linesOf } from '../../server/cli/text-lines.ts'
import type { Finding } from '../../shared/finding.ts'
import { checkResult, contact, program, report, spanOf } from './hand-made.ts'
import { schemaFaults } from './sarif-schema.ts'

interface Result {
  ruleId: string
  ruleIndex: number
  kind: string
  level: string
  message: { text: string }
  locations: { physicalLocation: { artifactLocation: { uri: string, index: number }, region?: Record<string, number> } }[]
  relatedLocations?: { id: number, message: { text: string }, physicalLocation: { artifactLocation: { uri: string } } }[]
  partialFingerprints: Record<string, string>
  suppressions?: { kind: string, justification: string }[]
  properties?: Record<string, unknown>
}

interface Log {
  version: string
  runs: {
    columnKind: string
    tool: { driver: { rules: { id: string, help: { text: string, markdown: string } }[] } }
    invocations: { executionSuccessful: boolean, exitCode: number, toolExecutionNotifications?: unknown[], toolConfigurationNotifications?: unknown[] }[]
    artifacts: { location: { uri: string }, hashes?: Record<string, string> }[]
    results: Result[]
    properties: { toolwake: Record<string, unknown> }
  }[]
}

const text = 'N10 G1 X10.\nN20 X11. (ACCEPT gouge: AGREED)\nN30 X12.\nN40 X12.\n'

const findings: readonly Finding[] = [
  { rule: 'missing-feed', level: 'error', message: 'No F yet.', span: spanOf(text, 'G1') },
  {
    rule: 'gouge', level: 'error', message: 'Cuts 0.03 mm.', span: spanOf(text, 'X12.'),
    contact: contact({ depth: 0.03, firstLine: 3, lastLine: 4, worstLine: 3, blocks: 2, point: [12.300000190734863, 0, -0] }),
    related: [{ file: '/job/my setup.json', span: { start: 0, end: 1 }, message: 'The limit.' }],
  },
  { rule: 'gouge', level: 'error', message: 'Perhaps.', span: spanOf(text, 'X12.', 2), contact: contact({ depth: 0.0101 }), open: true },
  {
    rule: 'gouge', level: 'error', message: 'Agreed.', span: spanOf(text, 'X11.'), contact: contact({ depth: 0.02 }),
    waiver: { reason: 'AGREED', span: spanOf(text, '(ACCEPT gouge: AGREED)') },
  },
]

const full = program(text, findings, {
  result: checkResult(text, findings, {
    tools: [{ number: 3, worst: { cutter: { value: -0.03, bound: 0.002, line: 3 }, holder: { value: Infinity, bound: 0, line: 1 } } }],
  }),
  inputs: [
    { role: 'program', path: '/job/program.nc', sha256: 'ab'.repeat(32), length: text.length },
    { role: 'setup', path: '/job/my setup.json', sha256: 'cd'.repeat(32), length: 7 },
    { role: 'mesh', path: '/elsewhere/part.stl', sha256: 'ef'.repeat(32), length: 684 },
  ],
})

const more = { textOf: () => linesOf('{ "gouge": 0.01 }') }

function logOf(...args: Parameters<typeof report>): Log {
  return JSON.parse(renderSarif(report(...args))) as Log
}

function runOf(...args: Parameters<typeof report>): Log['runs'][number] {
  return logOf(...args).runs[0]
}

function resultOf(message: string): Result {
  const found = runOf([full], more).results.find(result => result.message.text === message)
  if (found === undefined) throw new Error(`no result says "${message}"`)
  return found
}

describe('the published schema of SARIF 2.1.0', () => {
  const failed: Finding = { rule: 'not-checked', level: 'error', message: 'gone.nc is not there.', span: { start: 0, end: 0 } }
  const gone = program('', [failed], { name: 'gone.nc', path: '/job/gone.nc', result: undefined, inputs: [] })

  test('has nothing against a run with every kind of result', () => {
    expect(schemaFaults(logOf([full], more))).toEqual([])
  })
  test('has nothing against a run without results', () => {
    expect(schemaFaults(logOf([program(text, [])], { exitCode: 0 }))).toEqual([])
  })
  test('has nothing against a run in which a program was missing and rules were left out', () => {
    const partly = program(text, [], { path: '-', leftOut: new Map([['gouge', 1]]) })
    const log = logOf([gone, partly], { exitCode: 2 })
    expect(schemaFaults(log)).toEqual([])
    const [invocation] = log.runs[0].invocations
    expect(invocation.executionSuccessful).toBe(false)
    expect(invocation.toolExecutionNotifications).toHaveLength(1)
    expect(invocation.toolConfigurationNotifications).toHaveLength(1)
  })
  test('does object where something is wrong', () => {
    const log = logOf([full], more) as unknown as { runs: { results: { level: string }[] }[] }
    log.runs[0].results[0].level = 'fatal'
    expect(schemaFaults(log).length).toBeGreaterThan(0)
  })
})

describe('what the schema cannot say', () => {
  test('a text run with results states its columnKind (3.14.17)', () => {
    expect(runOf([full], more).columnKind).toBe('utf16CodeUnits')
  })
  test('ruleIndex leads to the rule of that id (3.27.6)', () => {
    const run = runOf([full], more)
    for (const result of run.results) expect(run.tool.driver.rules[result.ruleIndex].id).toBe(result.ruleId)
    for (const rule of run.tool.driver.rules) expect(rule.help.text).toContain(rule.id)
  })
  test('artifact indices lead to the artifact of that address', () => {
    const run = runOf([full], more)
    for (const { locations: [{ physicalLocation: { artifactLocation } }] } of run.results) {
      expect(run.artifacts[artifactLocation.index].location.uri).toBe(artifactLocation.uri)
    }
  })
  test('lines and columns count from 1, endColumn is one past the last', () => {
    expect(resultOf('No F yet.').locations[0].physicalLocation.region).toEqual({ startLine: 1, startColumn: 5, endColumn: 7 })
  })
  test('an undecided finding is open, without a level (3.27.10), and keeps the level it counts at', () => {
    expect(resultOf('Perhaps.')).toMatchObject({ kind: 'open', level: 'none', properties: { undecidedLevel: 'error' } })
  })
  test('an accepted finding is suppressed in the source, with its reason', () => {
    expect(resultOf('Agreed.').suppressions).toMatchObject([{ kind: 'inSource', justification: 'AGREED' }])
    expect(resultOf('Cuts 0.03 mm.').suppressions).toBeUndefined()
  })
  test('a contact finding carries its figures, and places without the noise of single precision', () => {
    expect(resultOf('Cuts 0.03 mm.').properties).toEqual({
      component: 'cutter', against: 'part', depth: 0.03, bound: 0.002, allowed: 0.01, point: [12.3, 0, 0],
      toolPoint: [1, 2, 3.03], toolAxis: [0, 0, 1], firstLine: 3, lastLine: 4, worstLine: 3, blocks: 2,
    })
  })
  test('the limit is a related location in the sheet', () => {
    expect(resultOf('Cuts 0.03 mm.').relatedLocations).toMatchObject([
      { id: 0, message: { text: 'The limit.' }, physicalLocation: { artifactLocation: { uri: 'my%20setup.json' } } },
    ])
  })
  test('hashes, figures and counts of the run; what has no figure is left out', () => {
    const run = runOf([full], more)
    expect(run.artifacts.map(({ location, hashes }) => [location.uri, hashes?.['sha-256'].slice(0, 2)])).toEqual([
      ['program.nc', 'ab'], ['my%20setup.json', 'cd'], ['file:///elsewhere/part.stl', 'ef'],
    ])
    expect(run.properties.toolwake).toEqual({
      program: 'program.nc', checked: true, blocks: 4, motions: 3, seconds: 75.4,
      tools: [{ number: 3, cutter: { value: -0.03, bound: 0.002, line: 3 } }],
      axes: [{ letter: 'X', min: -10, max: 20, topRate: 3000 }],
      hashes: { program: 'ab'.repeat(32), setup: 'cd'.repeat(32), meshes: { 'file:///elsewhere/part.stl': 'ef'.repeat(32) } },
    })
  })
  test('with several programs the counts are sums and each program has its own figures', () => {
    const other = program(text, [], { name: 'b.nc', path: '/job/b.nc' })
    expect(runOf([full, other], more).properties.toolwake).toMatchObject({
      blocks: 8, motions: 6, seconds: 150.8, programs: [{ program: 'program.nc' }, { program: 'b.nc' }],
    })
  })
  test('the order in which findings were made changes nothing', () => {
    const backward = program(text, [...findings].reverse(), { result: full.result, inputs: full.inputs })
    expect(renderSarif(report([backward], more))).toBe(renderSarif(report([full], more)))
  })
})

describe('partialFingerprints["block/v1"]', () => {
  const marksOf = (source: string, pieces: readonly [string, number][]) => {
    const made = pieces.map(([piece, nth]): Finding => ({ rule: 'short-block', level: 'note', message: piece, span: spanOf(source, piece, nth) }))
    return runOf([program(source, made)]).results.map(result => result.partialFingerprints['block/v1'])
  }

  test('stays when blocks are renumbered, commented, spaced, and edited elsewhere', () => {
    const before = marksOf('N10 G1 X1.\nN20 X2.\nN30 X2.\n', [['X2.', 1], ['X2.', 2]])
    const after = marksOf('(NEW)\nN5 G1 X7.\nN100 x2. (SLOWLY)\nG4 P10\n/N110   X2. ; AGAIN\n'.replace('/N110', 'N110').replace('x2.', 'X2.'), [['X2.', 1], ['X2.', 2]])
    expect(after).toEqual(before)
    expect(new Set(before).size).toBe(2)
  })
  test('changes with the block, the rule and the component', () => {
    const of = (finding: Partial<Finding>) => runOf([program('X1.\nX2.\n', [
      { rule: 'gouge', level: 'error', message: '', span: { start: 0, end: 2 }, ...finding },
    ])]).results[0].partialFingerprints['block/v1']
    const marks = [
      of({}), of({ span: { start: 4, end: 6 } }), of({ rule: 'missing-feed' }),
      of({ contact: contact({}) }), of({ contact: contact({ component: 'holder' }) }),
    ]
    expect(new Set(marks).size).toBe(marks.length)
  })
  test.each([
    ['N10 G1 X1.', 'G1X1.'], ['/N10 g1 x1.', '/G1X1.'], ['G1 (TO N20) X1. ; N30', 'G1X1.'], ['N10 (NEVER CLOSED', ''], ['  n7', ''],
  ])('%s is %s', (line, bare) => expect(bareBlock(line)).toBe(bare))
})

test.each([
  ['a b/ü.nc', 'a%20b/%C3%BC.nc'], ['/x/y#1.nc', 'file:///x/y%231.nc'], ['C:\\nc\\a.nc', 'file:///C:/nc/a.nc'],
])('the address of %s is %s', (path, uri) => expect(uriOf(path)).toBe(uri))

test('what is left on the part: figures of the finding, and of the whole', () => {
  const left: Finding = {
    rule: 'leftover', level: 'warning', message: 'Stands.', span: spanOf(text, 'X12.'),
    result: { point: [1, 2, 3.00000004], height: 0.3, bound: 0.00025, area: 12.5, allowed: 0.05 },
  }
  const surface = {
    samples: 100, spacing: 0.2, area: 400, reached: 100, finished: 90, leftoverArea: 12.5, patches: [], more: [],
    leftover: { value: 0.3, bound: 0.00025, point: [1, 2, 3] as const, motion: 2 }, overcut: undefined, isOvercutLeast: false,
    passes: [{ limitSet: 0, reached: 100, leftover: 0.3, overcut: 0 }],
  }
  const run = runOf([program(text, [left], { result: checkResult(text, [left], { surface }) })])
  expect(run.results[0].properties).toEqual({ component: 'cutter', against: 'part', point: [1, 2, 3], height: 0.3, bound: 0.00025, area: 12.5, allowed: 0.05 })
  expect(run.properties.toolwake['leftover']).toEqual({
    max: 0.3, area: 12.5, bound: 0.00025, point: [1, 2, 3], reachedArea: 100, finishedArea: 90, partArea: 400, spacing: 0.2, points: 100,
    passes: [{ reachedArea: 100, max: 0.3, overcut: 0 }],
  })
  expect(run.properties.toolwake['overcut']).toEqual({ max: 0 })
})
