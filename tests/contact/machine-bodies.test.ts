import { describe, expect, test } from 'vitest'
import type { Finding } from '../../shared/finding.ts'
import type { RuleExample } from '../../server/engine/lint/rule.ts'
import { runExample } from '../harness/check-example.ts'

// Bodies on the axes of a machine against distances worked out by hand. The gauge point stands
// 50 mm above the tip; the cradle turns about X through Z-50.

type Meshes = NonNullable<RuleExample['meshes']>

const limit = '"limits": { "clearance": { "head": 59 } }, '
const nose = '{ "name": "nose", "on": "Z", "mesh": "nose.stl" }'
/** Its lower face is 60 mm square and goes through the gauge point. */
const noseBox: Meshes[string] = { box: { min: [-30, -30, 0], max: [30, 30, 80] } }
const plate: Meshes[string] = { plate: { size: 40, thickness: 10 } }

function findingsOf({ moves, bodies, meshes, sheet = '', table = '["A", "C"]', start = 'Z10.' }: {
  readonly moves: string, readonly bodies: string, readonly meshes: Meshes, readonly sheet?: string, readonly table?: string, readonly start?: string
}): Finding[] {
  const machine = `{
    "name": "table-table", "axes": {
      "X": { "kind": "linear", "direction": [1, 0, 0], "range": [-900, 900], "rapid": 9000 },
      "Y": { "kind": "linear", "direction": [0, 1, 0], "range": [-900, 900], "rapid": 9000 },
      "Z": { "kind": "linear", "direction": [0, 0, 1], "range": [-900, 900], "rapid": 9000 },
      "A": { "kind": "rotary", "direction": [-1, 0, 0], "through": [0, 0, -50], "range": [-110, 110], "rapid": 9000 },
      "C": { "kind": "rotary", "direction": [0, 0, -1], "through": [0, 0, 0], "range": null, "rapid": 9000 } },
    "table": ${table}, "head": ["X", "Y", "Z"], "home": { "X": 0, "Y": 0, "Z": 300, "A": 0, "C": 0 }, "bodies": [${bodies}]
  }`
  const setup = `{
    "machine": "example.machine.json", "offsets": { "G54": { "X": 0, "Y": 0, "Z": 0, "A": 0, "C": 0 } },
    "part": { "mesh": "plate.stl" }, ${sheet}
    "tools": [{ "number": 1, "name": "ball 4", "cutter": { "shape": "ball", "DC": 4, "LCF": 6 }, "LPR": 20, "holder": [{ "diameter": 20, "length": 30 }] }]
  }`
  const program = `T1 M6\nG21 G17 G90 G94 G40 G49 G54 S8000 M3\nG0 A0. C0.\nG0 G43 H1 X0. Y0. ${start}\n${moves}\nM30\n`
  return runExample({ program, setup, machine, meshes: { 'plate.stl': plate, 'nose.stl': noseBox, ...meshes } }).findings
    .filter(({ rule }) => /^(head|machine)-|^not-checked$|^mesh-/.test(rule))
}

const clearanceOf = ({ contact }: Finding) => contact?.clearance ?? NaN
/** What the certified interval may be off by. */
const within = ({ contact }: Finding, known: number) => Math.abs(clearanceOf({ contact } as Finding) - known) <= (contact?.bound ?? 0) + 1e-6

describe('the head over the part', () => {
  test('at its nearest in the middle of a turn of the cradle', () => {
    const [finding, ...more] = findingsOf({ moves: 'G1 A30. F500', bodies: nose, meshes: {}, sheet: limit })
    expect(more).toEqual([])
    expect(finding).toMatchObject({ rule: 'head-clearance', level: 'warning', contact: { component: 'nose', against: 'part', allowed: 59, worstLine: 5 } })
    // The plate's edge, 20 mm aside and 50 above the axis, goes round a circle: at most √(20² + 50²) high.
    expect(within(finding, 60 - (Math.hypot(20, 50) - 50))).toBe(true)
    expect(finding.contact?.bound).toBeLessThanOrEqual(0.0101)
  })

  test('while the tool point stands still on the part and the head goes round it', () => {
    const found = findingsOf({ moves: 'G43.4 H1\nG1 X0. Y0. Z10. A40. F500', bodies: nose, meshes: {}, sheet: limit })
    expect(found.map(({ rule }) => rule)).toEqual(['head-clearance'])
    // Seen from the part the nose turns about the tip: its lower edge, 30 mm aside and 50 above the tip, comes down to
    // 50 cos 40° − 30 sin 40° above it; beyond the plate's own edge it is nearer to that edge than to the face.
    const angle = 40 * Math.PI / 180, edge = [30 * Math.cos(angle) + 50 * Math.sin(angle), 10 + 50 * Math.cos(angle) - 30 * Math.sin(angle)]
    const lower = [-30 * Math.cos(angle) + 50 * Math.sin(angle), 10 + 50 * Math.cos(angle) + 30 * Math.sin(angle)]
    // Distance of the plate's edge at 20 mm to the segment between both lower corners of the nose.
    const along = [lower[0] - edge[0], lower[1] - edge[1]], share = ((20 - edge[0]) * along[0] - edge[1] * along[1]) / (along[0] ** 2 + along[1] ** 2)
    const t = Math.min(1, Math.max(0, share))
    expect(within(found[0], Math.hypot(edge[0] + t * along[0] - 20, edge[1] + t * along[1]))).toBe(true)
  })

  test('a limit that is kept is no finding, whatever lies between', () => {
    expect(findingsOf({ moves: 'G1 A30. F500', bodies: nose, meshes: {}, sheet: '"limits": { "clearance": { "head": 56.1 } }, ' })).toEqual([])
    expect(findingsOf({ moves: 'G1 A30. F500', bodies: nose, meshes: {}, sheet: '"limits": { "clearance": { "head": 56.2 } }, ' })).toHaveLength(1)
  })

  test('the stock counts uncut, whatever it is made of', () => {
    // The nose's lower face stands 60 mm over program zero; its side, 30 mm from its middle, comes to X80.
    const moves = 'G1 X50. F500\nX0.'
    const against = (stock: string, meshes: Meshes = {}) => findingsOf({ moves, bodies: nose, meshes, sheet: `"stock": { "pitch": 2, ${stock} }, ` }).filter(({ rule }) => rule === 'head-contact')
    for (const found of [
      against('"box": { "min": [70, -5, 0], "max": [75, 5, 61] }'),
      against('"cylinder": { "diameter": 140, "bottom": -10, "top": 61 }'),
      against('"mesh": "blank.stl"', { 'blank.stl': { box: { min: [70, -5, 0], max: [75, 5, 61] } } }),
      // The plate's top is the plane z = 0.
      against('"offset": 60.5'),
    ]) expect(found).toMatchObject([{ contact: { component: 'nose', against: 'stock' } }])
    for (const found of [
      against('"box": { "min": [81, -5, 0], "max": [85, 5, 61] }'),
      against('"cylinder": { "diameter": 140, "bottom": -10, "top": 59 }'),
      against('"mesh": "blank.stl"', { 'blank.stl': { box: { min: [70, -5, 0], max: [75, 5, 59] } } }),
      against('"offset": 59.5'),
    ]) expect(found).toEqual([])
  }, 240_000)
})

describe('bodies of the machine', () => {
  const arm = '{ "name": "arm", "on": "A", "mesh": "arm.stl" }'

  test('the tool on its way into the table is found; the bodies it rides on are not', () => {
    const meshes: Meshes = { 'arm.stl': { box: { min: [100, -20, -30], max: [120, 20, 40] } } }
    const found = findingsOf({ moves: 'G1 X92. F3000\nX0.', bodies: `${arm}, { "name": "quill", "on": "Z", "mesh": "quill.stl" }`, meshes: { ...meshes, 'quill.stl': { box: { min: [-5, -5, -20], max: [5, 5, 10] } } } })
    // The holder, 10 mm thick on each side, stands from 30 above program zero; the arm's side lies at 100.
    expect(found.map(({ rule, contact }) => [rule, contact?.component, contact?.against])).toEqual([['machine-contact', 'holder', 'machine:arm']])
    expect(findingsOf({ moves: 'G1 X89.8 F3000\nX0.', bodies: arm, meshes })).toEqual([])
  })

  test('what stands on one axis, or on the next, is joined there', () => {
    const bodies = `${arm}, { "name": "table", "on": "C", "mesh": "table.stl" }`
    const meshes: Meshes = { 'arm.stl': { box: { min: [-90, -90, -60], max: [90, 90, -20] } }, 'table.stl': { box: { min: [-50, -50, -25], max: [50, 50, -9] } } }
    expect(findingsOf({ moves: 'G1 C90. F3000', bodies, meshes })).toEqual([])
  })

  test('a part that turns into the arm beside it', () => {
    // Turned by 90 degrees the bar, 90 mm long to +X, reaches along Y.
    const meshes: Meshes = { 'plate.stl': { box: { min: [0, -5, -10], max: [90, 5, 0] } }, 'arm.stl': { box: { min: [-20, 80, -30], max: [20, 90, 20] } } }
    const both = ['C90.', 'C-90.'].map(to => findingsOf({ moves: `G1 ${to} F3000`, bodies: arm, meshes }))
    expect(both.map(found => found.map(({ rule, contact }) => [rule, contact?.component, contact?.against])).sort((a, b) => a.length - b.length))
      .toEqual([[], [['machine-contact', 'arm', 'part']]])
  })

  test('a fixture that meets the head', () => {
    const found = findingsOf({
      moves: 'G1 X40. F3000\nX0.', bodies: nose, meshes: { 'post.stl': { box: { min: [65, -5, 0], max: [70, 5, 70] } } },
      sheet: '"fixtures": [{ "name": "post", "mesh": "post.stl", "clearance": 1 }], ',
    })
    expect(found.map(({ rule, contact }) => [rule, contact?.component, contact?.against])).toEqual([['machine-contact', 'nose', 'fixture:post']])
  })

  test('one that stands wholly inside another from the first', () => {
    const meshes: Meshes = { 'arm.stl': { box: { min: [-500, -500, -500], max: [500, 500, 800] } } }
    const found = findingsOf({ moves: 'G1 X10. F3000', bodies: `${nose}, ${arm}`, meshes })
    expect(found.map(({ rule, contact }) => [rule, contact?.component, contact?.against])).toContainEqual(['machine-contact', 'nose', 'machine:arm'])
  })

  test('one whose mesh cannot be used is named', () => {
    const found = findingsOf({ moves: 'G1 X10. F3000', bodies: `${nose}, ${arm}`, meshes: { 'arm.stl': { stl: 'solid arm\nendsolid arm\n' } } })
    expect(found.map(({ rule, file }) => [rule, file])).toEqual([['mesh-unreadable', 'example.machine.json'], ['not-checked', 'example.machine.json']])
    expect(found[1].message).toContain('the machine body "arm"')
  })
})
