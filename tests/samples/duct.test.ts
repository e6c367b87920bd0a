import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { faults } from '../../samples/duct/faults.ts'
import { makePrograms } from '../../samples/duct/make-programs.ts'
import { makeStl } from '../../samples/duct/make-stl.ts'
import { ductMesh } from '../../samples/duct/mesh.ts'
import type { Figures } from './sampled-clearance.ts'
import { sampleMesh } from './sampled-clearance.ts'
import type { WrittenPose } from './written-poses.ts'
import { between, posesOfPasses } from './written-poses.ts'

const folder = join(import.meta.dirname, '..', '..', 'samples', 'duct')
const read = (name: string) => readFileSync(join(folder, name), 'utf8')
const clean = read('throat.nc'), edited = read('throat-edited.nc'), readme = read('README.md')
const corners = ductMesh()

describe('the duct sample', () => {
  test('the committed programs are what the generator writes', () => {
    expect(makePrograms()).toEqual({ 'throat.nc': clean, 'throat-edited.nc': edited })
  })

  test('the mesh is closed, faces outward and has at least 200,000 triangles', () => {
    expect(corners.length / 9).toBeGreaterThanOrEqual(200_000)
    expect(openEdges(corners)).toBe(0)
    expect(volumeOf(corners)).toBeGreaterThan(100_000)
  })

  test('the file is a binary STL of that many triangles', () => {
    const bytes = makeStl()
    expect(bytes.length).toBe(84 + 50 * corners.length / 9)
    expect(new DataView(bytes.buffer).getUint32(80, true)).toBe(corners.length / 9)
  })

  test('at least 5,000 blocks, sequence numbers in tens', () => {
    const numbers = [...clean.matchAll(/^N(\d+)/gm)].map(match => Number(match[1]))
    expect(numbers.length).toBeGreaterThanOrEqual(5000)
    expect(numbers).toEqual(numbers.map((_, index) => 10 * (index + 1)))
  })

  test('the README lists each fault with its rule, block and line', () => {
    const lines = edited.split('\n')
    for (const { block, rule } of faults) {
      const line = lines.findIndex(text => text.startsWith(`${block} `)) + 1
      expect(readme).toContain(`| \`${rule}\` | ${block} | ${line} |`)
    }
  })
})

describe('the duct sample, sampled along every block', () => {
  const sampled = sampleMesh(corners, 2)
  const worstOf = (poses: readonly WrittenPose[], steps: number): Figures => {
    const worst = { ball: -Infinity, cutter: Infinity, neck: Infinity, shank: Infinity, holder: Infinity }
    for (let i = 1; i < poses.length; i++) {
      for (let step = 0; step <= steps; step++) {
        const { centre, axis } = between(poses[i - 1], poses[i], step / steps)
        const figures = sampled.figures(centre, axis)
        worst.ball = Math.max(worst.ball, figures.ball)
        for (const name of ['cutter', 'neck', 'shank', 'holder'] as const) worst[name] = Math.min(worst[name], figures[name])
      }
    }
    return worst
  }

  test('the clean program keeps every limit with room to spare', () => {
    const poses = posesOfPasses(clean)
    const worst = worstOf(poses.filter((_, index) => index % 4 === 0), 1)
    expect(worst.neck).toBeGreaterThan(0.3)
    expect(worst.shank).toBeGreaterThan(0.4)
    expect(worst.holder).toBeGreaterThan(1.1)
  }, 120_000)

  test('the clean program keeps the ball on the mesh, from 0.004 mm off to 0.006 mm deep', () => {
    const poses = posesOfPasses(clean)
    let deepest = -Infinity, highest = Infinity
    for (let i = 1; i < poses.length; i++) {
      for (const t of [0.25, 0.5, 0.75, 1]) {
        const depth = sampled.depth(between(poses[i - 1], poses[i], t).centre)
        deepest = Math.max(deepest, depth)
        highest = Math.min(highest, depth)
      }
    }
    expect(deepest).toBeLessThan(0.006)
    expect(highest).toBeGreaterThan(-0.004)
  }, 120_000)

  test.each([
    ['gouge', { ball: 0.03 }],
    ['shank-contact', { shank: -0.051 }],
    ['holder-clearance', { holder: 0.401 }],
    ['rotary-swing', {}],
    ['missing-decimal-point', {}],
  ] as const)('the %s stands where the README says, and breaks nothing else', (rule, expected: Partial<Figures>) => {
    const fault = faults.find(candidate => candidate.rule === rule)
    const poses = posesOfPasses(edited)
    const at = poses.findIndex(pose => pose.number === fault?.block)
    const worst = worstOf(poses.slice(at - 1, at + 2), 8)
    if (expected.ball === undefined) expect(worst.ball).toBeLessThan(0.006)
    else expect(worst.ball).toBeCloseTo(expected.ball, 3)
    if (expected.shank === undefined) expect(worst.shank).toBeGreaterThan(0.4)
    else expect(worst.shank).toBeCloseTo(expected.shank, 2)
    if (expected.holder === undefined) expect(worst.holder).toBeGreaterThan(1.1)
    else expect(worst.holder).toBeCloseTo(expected.holder, 2)
    expect(worst.neck).toBeGreaterThan(0.3)
  })
})

/** Edges without exactly one partner running the other way. */
function openEdges(triangles: Float32Array): number {
  const numbers = new Map<string, number>()
  const numberOf = (at: number) => {
    const key = `${triangles[at]},${triangles[at + 1]},${triangles[at + 2]}`
    const known = numbers.get(key)
    if (known !== undefined) return known
    numbers.set(key, numbers.size)
    return numbers.size - 1
  }
  const edges = new Map<number, number>()
  for (let at = 0; at < triangles.length; at += 9) {
    const vertices = [numberOf(at), numberOf(at + 3), numberOf(at + 6)]
    for (let k = 0; k < 3; k++) {
      const from = vertices[k], to = vertices[(k + 1) % 3]
      const key = Math.min(from, to) * 4194304 + Math.max(from, to)
      const runs = (edges.get(key) ?? 0) + (from < to ? 1 : 1000)
      edges.set(key, runs)
    }
  }
  let open = 0
  for (const runs of edges.values()) if (runs !== 1001) open++
  return open
}

function volumeOf(t: Float32Array): number {
  let sixfold = 0
  for (let i = 0; i < t.length; i += 9) {
    sixfold += t[i] * (t[i + 4] * t[i + 8] - t[i + 5] * t[i + 7])
      - t[i + 1] * (t[i + 3] * t[i + 8] - t[i + 5] * t[i + 6])
      + t[i + 2] * (t[i + 3] * t[i + 7] - t[i + 4] * t[i + 6])
  }
  return sixfold / 6
}
