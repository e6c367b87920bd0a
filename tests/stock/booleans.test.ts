import Module from 'manifold-3d'
import { describe, expect, test } from 'vitest'
import type { Cutter, Triple } from '../../shared/setup.ts'
import { boxStock } from '../../server/engine/stock/fill-shape.ts'
import { toolOf } from '../contact/scene.ts'
import { cutPath, pathThrough, type CutPose } from './cut-poses.ts'

// The same cuts by a library of solids (manifold-3d): a box less the tool at many moments of its way, each
// two moments joined by their hull. The hull of two poses of a convex tool holds what it sweeps between
// them when it does not turn; when it turns a little the difference is of second order.

const wasm = await Module()
wasm.setup()
const { Manifold } = wasm

const low: Triple = [-15.01, -9.03, -10], high: Triple = [15.02, 9.04, 0]

/** The tool with its tip at the origin, axis up; circles of 96 sides with the area of the true ones, nearly. */
function toolBody(cutter: Cutter) {
  const radius = cutter.DC / 2
  const body = Manifold.cylinder(cutter.LCF - (cutter.shape === 'ball' ? radius : 0), radius, radius, 96)
  return cutter.shape === 'ball' ? Manifold.union([body.translate([0, 0, radius]), Manifold.sphere(radius, 96).translate([0, 0, radius])]) : body
}

/** Turned so that its axis lies along the one given in the plane of X and Z, with the tip at a point. */
function placed(body: InstanceType<typeof Manifold>, { point, axis = [0, 0, 1] }: CutPose) {
  return body.rotate([0, Math.atan2(axis[0], axis[2]) * 180 / Math.PI, 0]).translate([...point])
}

function volumeByBooleans(cutter: Cutter, poses: readonly CutPose[], steps: number): number {
  const body = toolBody(cutter)
  const between = (a: CutPose, b: CutPose, t: number): CutPose => {
    const [from, to] = [a, b].map(({ axis = [0, 0, 1] }) => Math.atan2(axis[0], axis[2])), angle = from + (to - from) * t
    return { point: [0, 1, 2].map(k => a.point[k] + (b.point[k] - a.point[k]) * t) as unknown as Triple, axis: [Math.sin(angle), 0, Math.cos(angle)] }
  }
  const moments = poses.slice(1).flatMap((pose, i) => Array.from({ length: steps }, (_, n) => [between(poses[i], pose, n / steps), between(poses[i], pose, (n + 1) / steps)] as const))
  const swept = Manifold.union(moments.map(([a, b]) => Manifold.hull([placed(body, a), placed(body, b)])))
  const box = Manifold.cube([high[0] - low[0], high[1] - low[1], high[2] - low[2]]).translate([...low])
  return box.subtract(swept).volume()
}

const lean = (x: number, y: number, z: number, degrees: number): CutPose => ({ point: [x, y, z], axis: [Math.sin(degrees * Math.PI / 180), 0, Math.cos(degrees * Math.PI / 180)] })

describe('what is left against Booleans of sampled sweeps', () => {
  const ball: Cutter = { shape: 'ball', DC: 6, LCF: 20 }, flat: Cutter = { shape: 'flat', DC: 6, LCF: 20 }
  test.each([
    ['a ball through corners', ball, [lean(-20, -4, -2, 0), lean(5, -4, -2, 0), lean(5, 5, -3, 0), lean(-20, 5, -1, 0)], 1],
    ['a flat cutter down a ramp', flat, [lean(-20, 0, 2, 0), lean(12, 3, -6, 0)], 1],
    ['a ball that leans', ball, [lean(-20, 1, -3, 25), lean(20, -2, -4, 25)], 1],
    ['a flat cutter that turns on its way', flat, [lean(-14, 0, -4, -20), lean(12, 1, -3, 25)], 60],
    ['a ball that turns on its way', ball, [lean(-14, 0, -4, -20), lean(12, 1, -3, 25)], 60],
  ] as const)('%s', (_, cutter, poses, steps) => {
    const grid = boxStock({ min: low, max: high }, 0.15), tool = toolOf(cutter), before = grid.volume()
    cutPath(grid, tool, pathThrough(tool, poses))
    const wanted = volumeByBooleans(cutter, poses, steps), removed = before - wanted
    expect(removed).toBeGreaterThan(50)
    // The facets of the circles, the pitch and the skin left on purpose: within 0.6 % of what goes.
    expect(Math.abs(grid.volume() - wanted) / removed).toBeLessThan(6e-3)
  })
})
