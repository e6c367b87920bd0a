import { describe, expect, it } from 'vitest'
import { inspectMesh } from '../../server/engine/mesh/mesh-quality.ts'
import { placeMesh } from '../../server/engine/mesh/place-mesh.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { box, cylinderWall, inverted, joined, sphere, triangles, without } from './bodies.ts'

const cube = box([10, 20, 30])
const inspect = (corners: Float64Array) => inspectMesh(corners, { name: 'part.stl' })
const said = (corners: Float64Array) => inspect(corners).problems.map(problem => `${problem.rule}: ${problem.message}`)

describe('a sound body', () => {
  it.each<[string, Float64Array, number]>([['box', cube, 6000], ['sphere', sphere(10, 5), 4 / 3 * Math.PI * 1000]])('%s has nothing to say and its volume', (_, corners, volume) => {
    const { problems, closed, volume: found, corners: kept } = inspect(corners)
    expect(problems).toEqual([])
    expect(closed).toBe(true)
    expect(Math.abs(found / volume - 1)).toBeLessThan(0.002)
    expect(kept).toBe(corners)
  })

  it('stays sound when it is moved and turned (seed 8)', () => {
    const random = new SeededRandom(8)
    for (let run = 0; run < 50; run++) {
      const placed = placeMesh(sphere(10, 2), { scale: random.pick([1, 25.4]), rotate: [random.between(-4, 4), random.between(-4, 4), random.between(-4, 4)], translate: [random.between(-1e4, 1e4), 0, 7] })
      expect(inspect(placed).problems).toEqual([])
    }
  })
})

describe('facets that are of no use are left out and counted', () => {
  const first = cube.subarray(0, 9)
  it.each<[string, Float64Array, string]>([
    ['two corners in one', joined(cube, triangles([[0, 0, 0], [0, 0, 0], [1, 1, 1]])), '1 without area'],
    ['all corners in one', joined(cube, triangles([[1, 1, 1], [1, 1, 1], [1, 1, 1]])), '1 without area'],
    ['the same facet again', joined(cube, first), '1 given twice'],
    ['the same facet, begun at another corner', joined(cube, Float64Array.of(...first.subarray(3), ...first.subarray(0, 3))), '1 given twice'],
    ['the same facet from behind', joined(cube, inverted(first.slice())), '1 given twice'],
    ['all of it', joined(cube, cube, triangles([[0, 0, 0], [0, 0, 0], [1, 1, 1]])), '1 without area, 12 given twice'],
  ])('%s', (_, corners, counts) => {
    const { problems, corners: kept, closed } = inspect(corners)
    expect(problems.map(problem => [problem.rule, problem.message])).toEqual([['mesh-damaged', expect.stringContaining(`left out: ${counts}.`)]])
    expect(kept).toEqual(cube)
    expect(closed).toBe(true)
  })

  it('a thin facet that joins two neighbours leaves no hole behind', () => {
    // The quad's upper edge has a corner in its middle, filled with a facet without area.
    const [a, b, c, d, m] = [[0, 0, 0], [4, 0, 0], [4, 4, 0], [0, 4, 0], [2, 4, 0]] as const
    const sheet = triangles([a, b, c], [a, c, d])
    const filled = triangles([a, b, c], [a, c, d], [d, c, m])
    expect(inspect(filled).corners).toEqual(sheet)
    // The outline: a b, b c, c m, m d, d a.
    expect(said(filled)).toEqual([expect.stringContaining('1 without area'), expect.stringContaining('5 edges have a facet on one side only')])
  })

  it('many facets round one corner, and twice each', () => {
    const fan = triangles(...Array.from({ length: 2000 }, (_, i) => [[0, 0, 5], [Math.cos(i / 318), Math.sin(i / 318), 0], [Math.cos((i + 1) / 318), Math.sin((i + 1) / 318), 0]] as const))
    expect(inspect(joined(fan, fan)).corners).toEqual(fan)
  })

  it('nothing but rubbish cannot be checked against', () => {
    const { problems, corners } = inspect(triangles([[1, 1, 1], [1, 1, 1], [1, 1, 1]], [[0, 0, 0], [1, 1, 1], [2, 2, 2]]))
    expect(problems.map(problem => problem.rule)).toEqual(['mesh-unreadable'])
    expect(problems[0].message).toContain('has 2 facets, none of which has an area')
    expect(corners.length).toBe(0)
  })
})

describe('what takes something away from the checks', () => {
  it('a missing facet opens three edges', () => {
    const { problems, closed } = inspect(without(cube, 4))
    expect(problems.map(problem => problem.rule)).toEqual(['mesh-open'])
    expect(problems[0].message).toContain('3 edges have a facet on one side only')
    expect(problems[0].message).toContain('nothing is checked where the surface is missing')
    expect(closed).toBe(false)
  })

  it('a gap of the least bit is a gap', () => {
    const gaping = cube.slice()
    gaping[0] += 1e-12
    expect(said(gaping).length).toBe(1)
    expect(said(gaping)[0]).toMatch(/^mesh-open/)
  })

  it('a body turned inside out', () => {
    const { problems, volume } = inspect(inverted(cube))
    expect(problems.map(problem => problem.rule)).toEqual(['mesh-inside-out'])
    expect(problems[0].message).toContain('Depths and clearances are not affected; what is left standing on the part would be measured to the wrong side of its surface')
    expect(volume).toBeCloseTo(-6000, 9)
  })

  it('a body turned inside out, far from the origin and with a hole, is still seen', () => {
    const moved = placeMesh(inverted(sphere(10, 4)), { scale: 1, rotate: [0.3, 0.2, 0.1], translate: [5000, -3000, 800] })
    expect(inspect(without(moved, 17)).problems.map(problem => problem.rule)).toEqual(['mesh-open', 'mesh-inside-out'])
  })

  it('an open sheet has no inside: its sign means nothing', () => {
    for (const sheet of [cylinderWall(10, 5, 40, 2), inverted(cylinderWall(10, 5, 40, 2)), triangles([[0, 0, 0], [0, 1, 0], [1, 0, 0]])]) {
      expect(inspect(sheet).problems.map(problem => problem.rule)).toEqual(['mesh-open'])
    }
  })

  it('one facet turned against its neighbours', () => {
    const turned = cube.slice()
    turned.set(inverted(cube.slice(0, 9)))
    expect(said(turned)).toEqual([expect.stringContaining('mesh-damaged: part.stl has 3 edges between facets that are turned against each other')])
  })

  it('two boxes that share an edge', () => {
    const other = placeMesh(cube, { scale: 1, rotate: [0, 0, 0], translate: [10, 20, 0] })
    expect(said(joined(cube, other))).toEqual([expect.stringContaining('mesh-damaged: part.stl has 1 edge where more than two facets meet, for example near X10 Y20')])
  })

  it('puts each problem where the sheet names the mesh', () => {
    const place = { file: '/job/a.setup.json', span: { start: 12, end: 20 } }
    expect(inspectMesh(without(cube, 0), { name: 'part.stl', place }).problems).toMatchObject([place])
  })
})

describe('random soups, seed 21', () => {
  it('agree with counting edge by edge', () => {
    const random = new SeededRandom(21)
    for (let run = 0; run < 300; run++) {
      // Corners on a coarse lattice, so that points, edges and facets coincide often.
      const corners = Float64Array.from({ length: 9 * random.whole(1, 30) }, () => random.whole(0, 2))
      const { corners: kept } = inspect(corners)
      expect(new Set(keysOf(kept)).size).toBe(kept.length / 9)
      expect(new Set(keysOf(kept))).toEqual(new Set(keysOf(corners).filter(key => hasArea(key))))
    }
  })

  function keysOf(corners: Float64Array): string[] {
    return Array.from({ length: corners.length / 9 }, (_, t) => [0, 3, 6].map(k => corners.subarray(9 * t + k, 9 * t + k + 3).join()).sort().join(' '))
  }

  function hasArea(key: string): boolean {
    const [a, b, c] = key.split(' ').map(corner => corner.split(',').map(Number))
    const u = b.map((value, k) => value - a[k]), v = c.map((value, k) => value - a[k])
    return Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]) > 0
  }
})

it('a million facets are looked through in a few seconds at most', () => {
  const around = 1000, wall = cylinderWall(50, 100, around, 500)
  expect(wall.length / 9).toBe(1_000_000)
  const before = performance.now()
  const { problems } = inspect(wall)
  const milliseconds = performance.now() - before
  expect(problems.map(problem => problem.message)).toEqual([expect.stringContaining('2,000 edges have a facet on one side only')])
  // About one second on an idle machine; the limit only catches time that grows faster than the mesh.
  expect(milliseconds).toBeLessThan(15_000)
})
