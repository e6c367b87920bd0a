import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { RotarySolver } from '../../shared/inverse-kinematics.ts'
import { ComponentDistance } from '../../server/engine/contact/component-distance.ts'
import { motionFaults } from '../../server/engine/contact/motion-faults.ts'
import { correctStretch, leanable } from '../../server/engine/correction/correct-stretch.ts'
import type { Freedom } from '../../server/engine/correction/demand.ts'
import { Stretch } from '../../server/engine/correction/stretch.ts'
import { defaultEpsilon, searchInputOf } from '../../server/engine/service.ts'
import { head, Job, joinMeshes, sheetOfMesh, type JobWish } from './job.ts'

// Least corrections against elementary geometry, before they are rounded to a program's decimals.

/** A correction goes this much past its limit so that it can be proven, and is found to this fineness. */
const fineness = 1e-4

const ball = { cutter: { shape: 'ball', DC: 6, LCF: 10 }, LPR: 60, holder: [{ diameter: 8, length: 20 }], point: 'centre' }

/** The largest shift of a station, mm or radians. */
function leastCorrection(wish: JobWish, freedom: Freedom): number {
  const job = new Job(wish), search = searchInputOf(job.program, job.scene, defaultEpsilon)
  if (search === undefined) throw new Error('nothing to search')
  const faults = motionFaults(search, job.figures), { axes } = job.scene.machine
  expect(faults.length).toBeGreaterThan(0)
  const first = Math.max(0, faults[0].motion - 3), count = job.program.toolpath.count - first
  const stretch = new Stretch(search, { part: job.mesh, obstacles: [] }, first, count, () => undefined, () => true, neverCancelled)
  const [assembly] = search.assemblies
  if (assembly === undefined) throw new Error('the tool has no shape')
  const distance = new ComponentDistance(assembly)
  const answer = correctStretch(stretch, {
    freedom, components: freedom === 'turn' ? leanable : ['cutter'], ignores: () => false, isOwn: () => true, motions: faults.map(fault => fault.motion - Math.max(0, first - 1)),
    distanceOf: () => distance, before: () => Infinity, solver: new RotarySolver(job.program.kinematics, axes.map(axis => axis.range)),
    ranges: axes.map(axis => axis.range), letters: axes.map(axis => axis.letter), turnRoom: () => Infinity, mostShift: 20, cancellation: neverCancelled,
  })
  expect(answer).toEqual({ done: true })
  return Math.max(...stretch.stations.map(({ shift }) => Math.hypot(...shift)))
}

describe('a ball over a flat face', () => {
  const face = sheetOfMesh([0, 0, 0], [60, 0, 0], [0, 60, 0])
  // Deepest at N90: the centre stands `depth` too low.
  const program = (lean: number, depth: number) => `${head(`X-20. Y0. Z8. A${lean}. C0.`)}N80 G1 Z${3 - 0.005} F500\nN85 X-10.\nN90 X0. Z${3 - depth}\nN95 X10. Z${3 - 0.005}\nN100 Z8.\nN110 M30\n%\n`

  test.each([[0, 0.05], [0, 0.3], [-20, 0.05], [-37, 0.2], [-55, 0.05]])('leant %f degrees and %f mm deep: along the axis by (depth − allowed)/cos, off the face by depth − allowed', (lean, depth) => {
    const wish = { program: program(lean, depth), tool: ball, limits: { gouge: 0.01 }, mesh: face }
    expect(leastCorrection(wish, 'point')).toBeCloseTo(depth - 0.01, 4)
    const alongAxis = leastCorrection(wish, 'axis-line'), exact = (depth - 0.01) / Math.cos(lean * Math.PI / 180)
    expect(Math.abs(alongAxis - exact)).toBeLessThan(fineness)
    expect(alongAxis).toBeGreaterThan(exact)
  })
})

describe('a ball in a corner', () => {
  // Two faces that meet at a right angle, both cut into: the least lift leads off both, along neither normal.
  const corner = joinMeshes(sheetOfMesh([0, 0, 0], [60, 0, 0], [0, 60, 0]), sheetOfMesh([30, 0, 0], [0, 60, 0], [0, 0, 4]))

  test('is lifted by the length of both demands together', () => {
    const [low, side] = [0.08, 0.05]
    const program = `${head('X20. Y0. Z8. A0. C0.')}N80 G1 Z3. F500\nN85 X26.9\nN90 X${27 + side} Z${3 - low}\nN95 X26.9 Z3.\nN100 Z8.\nN110 M30\n%\n`
    const lift = leastCorrection({ program, tool: ball, limits: { gouge: 0.01 }, mesh: corner }, 'point')
    expect(Math.abs(lift - Math.hypot(low - 0.01, side - 0.01))).toBeLessThan(fineness)
  })
})

describe('a shank beside a wall', () => {
  // The shank's lower rim, radius r at height h over the ball's centre, stands r cos θ − h sin θ from the centre's line once the tool leans by θ.
  const tool = { ...ball, cutter: { shape: 'ball', DC: 3, LCF: 6 }, neck: { DN: 2.8, LU: 20 }, shank: { DCONMS: 8 } }
  const radius = 4, height = 20 - 1.5

  test.each([[3.9, 0.15], [3.6, 0.15], [4.1, 0.5], [2.5, 0.15]])('%f mm off the axis, %f mm to be kept: θ = acos((wall − kept)/hypot(r, h)) − atan(h/r)', (wall, kept) => {
    const mesh = sheetOfMesh([0, wall, 60], [80, 0, 0], [0, 0, 60])
    const program = `${head('X0. Y-30. Z40. A0. C0.')}N80 G1 Z2. F500\nN90 Y0.\nN100 Y-30.\nN110 Z40.\nN120 M30\n%\n`
    const lean = leastCorrection({ program, tool, limits: { gouge: 0.01, clearance: { shank: kept, neck: 0.05, holder: 0.1 } }, mesh }, 'turn')
    const exact = Math.acos((wall - kept) / Math.hypot(radius, height)) - Math.atan(height / radius)
    expect(Math.abs(lean - exact)).toBeLessThan(fineness)
  })
})
