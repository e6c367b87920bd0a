import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { components } from '../../shared/finding.ts'
import type { Fixture } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import type { ContactFigures } from '../../server/engine/service.ts'
import { SceneSearcher } from '../../server/engine/contact/scene-searcher.ts'
import type { SearchInput } from '../../server/engine/contact/search-motions.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { smallestDistance } from '../harness/brute-force.ts'
import { runExample } from '../harness/check-example.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { epsilon, limits, randomCase } from './random-case.ts'

// Fixtures and barriers: the same certificate as against the part, but only where something comes
// nearer than it may.

/** mm. Rounding of the twin's and the engine's arithmetic for bodies within a few hundred mm. */
const rounding = 1e-7

const far = Float64Array.of(1e5, 1e5, 1e5, 1e5 + 1, 1e5, 1e5, 1e5, 1e5 + 1, 1e5)

function searchAll(input: SearchInput, corners: Float64Array, kind: 'fixture' | 'barrier', clearance: number): ContactFigures {
  const span = { start: 0, end: 0 }
  const fixture: Fixture = { name: 'jaw', clearance, mesh: { path: 'jaw.stl', scale: 1, translate: [0, 0, 0], rotate: [0, 0, 0], span } }
  const sets = [{ limits, barriers: [0], origin: {} }]
  const searcher = new SceneSearcher({ ...input, fixtures: [fixture], limits: { ...input.limits, sets } }, {
    part: buildMeshTree(far, false).tree,
    obstacles: [{ kind, index: 0, tree: buildMeshTree(corners, false).tree }],
  }, neverCancelled)
  return searcher.searchRun(0, input.toolpath.count)
}

describe('against brute force', () => {
  test.each([71, 72, 73, 74])('seed %d: 40 random motions, tools and meshes', seed => {
    const faults: string[] = []
    let found = 0
    for (let i = 0; i < 40; i++) {
      const random = new SeededRandom(seed * 1000 + i)
      const { input, corners, twin, solids, tool, name } = randomCase(random)
      const kind = random.pick(['fixture', 'barrier'] as const), clearance = random.pick([0, 0.2, 2])
      const { near } = searchAll(input, corners, kind, clearance)
      const wanted = kind === 'fixture' ? clearance : -limits.gouge
      for (let motion = 0; motion < input.toolpath.count; motion++) {
        for (const component of kind === 'fixture' ? components : ['cutter'] as const) {
          if (solids[component].length === 0) continue
          const figure = near.find(one => one.motion === motion && one.who === component)
          const poseAt = (t: number) => twin.poseAt(input.toolpath, motion, gaugeLength(tool), t)
          const cap = figure === undefined ? wanted : figure.value + 2 * epsilon
          const nearest = smallestDistance(solids[component], corners, poseAt, cap, { moments: 17, refined: 1, also: figure === undefined ? [] : [figure.time] })
          const say = (what: string) => faults.push(`${seed * 1000 + i}, motion ${motion}, ${component} to the ${kind}: ${what} [${name}]`)
          if (figure === undefined) {
            if (nearest.value < wanted - rounding) say(`nothing reported, brute force finds ${nearest.value}, ${wanted} is wanted`)
            continue
          }
          found++
          if (nearest.value < figure.certified - rounding) say(`certified ${figure.certified}, brute force finds ${nearest.value}`)
          if (figure.certified >= wanted) say(`certified ${figure.certified} keeps ${wanted}, and yet it is reported`)
          if (nearest.value > figure.value + 2e-3) say(`value ${figure.value}, brute force only finds ${nearest.value}`)
        }
      }
    }
    expect(faults).toEqual([])
    expect(found).toBeGreaterThan(20)
  })
})

const sheet = (more: string, tool = '"cutter": { "shape": "flat", "DC": 10, "LCF": 20 }, "LPR": 30, "holder": [{ "diameter": 40, "length": 30 }]') => `{
  "offsets": { "G54": { "X": 0, "Y": 0, "Z": 150, "A": 0, "C": 0 } },
  "part": { "mesh": "plate.stl" }, ${more},
  "tools": [{ "number": 1, "name": "flat 10", ${tool} }]
}`
const program = (moves: string) => `N10 T1 M6
N20 G21 G17 G90 G94 G40 G49 G54 S8000 M3
N30 G0 G43 H1 X0. Y0. Z60.
${moves}
M30
`
const plate = { plate: { size: 20, thickness: 10 } } as const
const touching = (rule: string) => rule.startsWith('fixture-') || rule.startsWith('barrier-') || rule === 'starts-inside'

function findingsOf(moves: string, more: string, meshes: NonNullable<Parameters<typeof runExample>[0]['meshes']>) {
  return runExample({ program: program(moves), setup: sheet(more), meshes: { 'plate.stl': plate, ...meshes } }).findings.filter(({ rule }) => touching(rule))
}

// Elementary geometry: a flat cutter of 10 mm beside plane faces and a post.
describe('closed forms', () => {
  const jaw = '"fixtures": [{ "name": "jaw", "mesh": "jaw.stl", "clearance": 1.5 }]'
  const box = { 'jaw.stl': { box: { min: [30, -20, -10], max: [50, 20, 8] } } } as const

  test('the gap beside a plane', () => {
    const [finding, ...more] = findingsOf('N40 G1 Z1. F500\nN50 X24.\nN60 X0.\nN70 G0 Z60.', jaw, box)
    expect(more).toEqual([])
    expect(finding).toMatchObject({ rule: 'fixture-clearance', level: 'warning', contact: { component: 'cutter', against: 'fixture:jaw', allowed: 1.5, worstLine: 5, blocks: 2 } })
    expect(Math.abs((finding.contact?.clearance ?? NaN) - 1)).toBeLessThanOrEqual((finding.contact?.bound ?? 0) + 1e-8)
    expect(finding.related?.map(({ message }) => message)).toEqual(['The fixture is given here.', 'The limit is set here.'])
  })

  test('a gap exactly as wide as asked for is not decided, or kept', () => {
    const findings = findingsOf('N40 G1 Z1. F500\nN50 X23.5\nN60 G0 X0.\nN70 G0 Z60.', jaw, box)
    expect(findings.filter(finding => finding.open !== true)).toEqual([])
  })

  test('the depth in a post, and the holder above it', () => {
    const post = '"fixtures": [{ "name": "post", "mesh": "post.stl", "clearance": 0 }]'
    // 8 mm thick about X30 Y0, from z = -40 to 33; the holder's face is 30 above the tip, its radius 20.
    const mesh = { 'post.stl': { cylinder: { diameter: 8, height: 73, facets: 720 } } } as const
    const setup = sheet(post).replace('"mesh": "post.stl"', '"mesh": "post.stl", "translate": [30, 0, 33]')
    const { findings } = runExample({ program: program('N40 G1 Z1. F500\nN50 X22.\nN60 X0.\nN70 G0 Z60.'), setup, meshes: { 'plate.stl': plate, ...mesh } })
    const found = findings.filter(({ rule }) => touching(rule))
    expect(found.map(({ rule, contact }) => [rule, contact?.component]).sort()).toEqual([
      ['fixture-contact', 'cutter'], ['fixture-contact', 'holder'], ['fixture-contact', 'shank'],
    ])
    const depth = (component: string) => found.find(({ contact }) => contact?.component === component)?.contact?.depth ?? NaN
    const chord = 4 * (1 - Math.cos(Math.PI / 720))
    // The nearest side of the post lies 4 mm from the tool axis, 1 mm inside the cutter; the holder's face is 2 mm below the post's top.
    expect(depth('cutter')).toBeGreaterThanOrEqual(1 - chord - 0.002)
    expect(depth('cutter')).toBeLessThanOrEqual(1 + 0.002)
    expect(Math.abs(depth('holder') - 2)).toBeLessThanOrEqual(0.0011)
  })

  test('a rapid counts as a cut does', () => {
    expect(findingsOf('N40 G0 Z1.\nN50 X60.\nN60 Z60.', jaw, box).map(({ rule, message }) => [rule, message.includes(' at rapid')])).toEqual([['fixture-contact', true]])
  })

  test('a tool that starts inside a fixture', () => {
    const found = findingsOf('N40 G1 X10. F500', jaw, { 'jaw.stl': { box: { min: [-300, -300, -10], max: [300, 300, 900] } } })
    expect(found.map(({ rule, message, contact }) => [rule, message.includes('inside the fixture "jaw"'), contact?.against])).toContainEqual(['starts-inside', true, 'fixture:jaw'])
  })

  const floor = { 'floor.stl': { box: { min: [-90, -90, -30], max: [90, 90, -20] } } } as const
  const barrier = '"barriers": [{ "name": "floor", "mesh": "floor.stl" }]'

  test.each([['N50 G1 Z-20. F500', 0], ['N50 G1 Z-20.008 F500', 0], ['N50 G1 Z-20.5 F500', 1], ['N50 G0 Z-20.5', 1]])('a barrier and %s', (move, count) => {
    const found = findingsOf(`N40 G0 X40. Y40.\n${move}\nN60 G0 Z60.`, barrier, floor)
    expect(found.map(({ rule, level }) => [rule, level])).toEqual(Array.from({ length: count }, () => ['barrier-crossed', 'error']))
    for (const { contact } of found) expect(Math.abs((contact?.depth ?? NaN) - 0.5)).toBeLessThanOrEqual((contact?.bound ?? 0) + 1e-8)
  })

  test('a barrier that a pass names holds there alone; one that none names holds everywhere', () => {
    const both = `"barriers": [{ "name": "floor", "mesh": "floor.stl" }, { "name": "wall", "mesh": "wall.stl" }],
      "passes": [{ "from": "N50", "to": "N60", "barriers": ["floor"] }]`
    const meshes = { ...floor, 'wall.stl': { box: { min: [60, -90, -30], max: [70, 90, 90] } } } as const
    const moves = 'N40 G1 X40. F500\nN50 Z-21.\nN60 Z0.\nN70 Z-22.\nN80 Z60.\nN90 X58.\nN100 X0.'
    expect(findingsOf(moves, both, meshes).map(({ contact }) => [contact?.against, contact?.firstLine, contact?.lastLine])).toEqual([
      ['barrier:floor', 5, 6], ['barrier:wall', 9, 10],
    ])
  })
})
