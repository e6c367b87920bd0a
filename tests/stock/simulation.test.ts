import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { MotionFlag, type Toolpath } from '../../shared/toolpath.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import { boxStock } from '../../server/engine/stock/fill-shape.ts'
import { meshStock } from '../../server/engine/stock/fill-mesh.ts'
import { stockInFrame } from '../../server/engine/stock/fill-from.ts'
import type { StockGrid } from '../../server/engine/stock/stock-grid.ts'
import { StockSimulation, type StockInput } from '../../server/engine/stock/stock-simulation.ts'
import { stockSurface } from '../../server/engine/stock/stock-surface.ts'
import { turnAndMove } from '../../server/engine/mesh/place-mesh.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { anyMachine } from '../contact/machines.ts'
import { randomPath } from '../contact/random-path.ts'
import { randomTool } from '../contact/random-tool.ts'
import { toolOf } from '../contact/scene.ts'
import { forkKinematics, pathThrough } from './cut-poses.ts'
import { allStretches } from './grid-points.ts'

const seed = 20_26

/** A random program of some motions that begins in the middle of a box, 24 mm wide. */
function randomProgram(random: SeededRandom, count: number): { input: StockInput, fill: () => StockSimulation } {
  const machine = anyMachine(random), tool = { ...randomTool(random), holder: [] }, base = machine.axes.map(() => 0)
  const kinematics = buildKinematics(machine, base), length = gaugeLength(tool)
  const toolpath = randomPath(random, machine, kinematics, base, length, random.pick(['finishing', 'swing', 'joint arc', 'tool arc'] as const), count)
  const assembly = buildAssembly(tool), poses = { kinematics, toolpath, assemblies: [assembly], tools: [tool] }
  const middle = middleOf(poses)
  return { input: poses, fill: () => new StockSimulation(boxStock({ min: [middle[0] - 12, middle[1] - 12, middle[2] - 12], max: [middle[0] + 12, middle[1] + 12, middle[2] + 12] }, 1)) }
}

function middleOf({ kinematics, toolpath, tools }: StockInput): [number, number, number] {
  const pose = new MotionPose(kinematics, toolpath, [gaugeLength(tools[0])])
  pose.begin(0)
  pose.at(0)
  return [pose.px, pose.py, pose.pz]
}

/** The first motions of a path. */
function head(path: Toolpath, count: number): Toolpath {
  return { ...path, count }
}

/** Every stretch of every ray lies in one that was there before. */
function expectNoMore(now: StockGrid, before: StockGrid): void {
  const old = allStretches(before)
  for (const [ray, ends] of allStretches(now).entries()) {
    for (let k = 0; k < ends.length; k += 2) {
      const isOld = old[ray].some((low, i) => i % 2 === 0 && low <= ends[k] && old[ray][i + 1] >= ends[k + 1])
      if (!isOld) throw new Error(`ray ${ray} holds ${ends[k]} to ${ends[k + 1]}, and before only ${old[ray].join(' ')}`)
    }
  }
}

describe(`random programs, seed ${seed}`, () => {
  for (let number = 0; number < 12; number++) {
    test(`case ${number}: what goes and what stays is what there was; it never grows; cut in two it is the same`, () => {
      const random = new SeededRandom(seed + number), { input, fill } = randomProgram(random, 12)
      const whole = fill(), figures = whole.run(input)
      expect(figures.done).toBe(12)
      const gone = figures.removed.reduce((sum, volume) => sum + volume, 0)
      expect(Math.abs(figures.initial - figures.remaining - gone)).toBeLessThan(1e-4 * figures.initial)
      let before = fill().grid
      for (let count = 1; count <= 12; count++) {
        const simulation = fill()
        simulation.run({ ...input, toolpath: head(input.toolpath, count) })
        expectNoMore(simulation.grid, before)
        before = simulation.grid
      }
      // Stopped in the middle and gone on from there; and again after an edit that changes nothing.
      const parted = fill()
      parted.run({ ...input, toolpath: head(input.toolpath, 5) })
      parted.keep()
      const second = { ...input.toolpath, count: 7, kind: input.toolpath.kind.slice(5), flags: input.toolpath.flags.slice(5), tool: input.toolpath.tool.slice(5), line: input.toolpath.line.slice(5), seconds: input.toolpath.seconds.slice(5), arcOf: input.toolpath.arcOf.slice(5), joints: input.toolpath.joints.slice(5 * input.toolpath.axes.length) }
      parted.run({ ...input, toolpath: second })
      expect(allStretches(parted.grid)).toEqual(allStretches(whole.grid))
      const again = whole.run(input, 12)
      expect([...again.removed]).toEqual([...figures.removed])
      expect(again.remaining).toBe(figures.remaining)
    })
  }
})

describe('going on after an edit', () => {
  test('from the last snapshot before it, to what a fresh run comes to', () => {
    const tool = toolOf({ shape: 'ball', DC: 6, LCF: 12 }), assembly = buildAssembly(tool)
    const pathOf = (depth: number) => pathThrough(tool, Array.from({ length: 400 }, (_, i) => ({ point: [i * 0.1 - 20, 0.3, i > 300 ? -depth : -1] as const })))
    const inputOf = (depth: number): StockInput => ({ kinematics: forkKinematics, toolpath: pathOf(depth), assemblies: [assembly], tools: [tool] })
    const fill = () => new StockSimulation(boxStock({ min: [-20, -5, -6], max: [20, 5, 0] }, 0.5))
    const edited = fill(), fresh = fill()
    edited.run(inputOf(1))
    const after = edited.run(inputOf(2), 299), wanted = fresh.run(inputOf(2))
    expect(allStretches(edited.grid)).toEqual(allStretches(fresh.grid))
    expect([...after.removed]).toEqual([...wanted.removed])
    // Before a motion in the middle, for the viewer.
    const half = fill()
    half.run({ ...inputOf(2), toolpath: head(pathOf(2), 150) })
    expect(allStretches(edited.standAt(inputOf(2), 150))).toEqual(allStretches(half.grid))
  })

  test('is given up at once when nobody waits', () => {
    const tool = toolOf({ shape: 'ball', DC: 6, LCF: 12 }), simulation = new StockSimulation(boxStock({ min: [-20, -5, -6], max: [20, 5, 0] }, 0.5))
    const toolpath = pathThrough(tool, Array.from({ length: 100 }, (_, i) => ({ point: [i * 0.4 - 20, 0.3, -1] as const })))
    let asked = 0
    const figures = simulation.run({ kinematics: forkKinematics, toolpath, assemblies: [buildAssembly(tool)], tools: [tool] }, 0, { cancelled: () => ++asked > 40 })
    expect(figures.done).toBeLessThan(99)
    expect(simulation.run({ kinematics: forkKinematics, toolpath, assemblies: [buildAssembly(tool)], tools: [tool] }, 99, neverCancelled).done).toBe(99)
  })
})

describe('the surface of the stock', () => {
  test('is closed, and holds the volume of the rays', () => {
    const tool = toolOf({ shape: 'ball', DC: 6, LCF: 12 }), simulation = new StockSimulation(boxStock({ min: [-20, -5, -6], max: [20, 5, 0] }, 0.25))
    const toolpath = pathThrough(tool, [{ point: [-30, 0, -2] }, { point: [30, 0, -2] }])
    expect(toolpath.flags[0] & MotionFlag.rapid).toBe(0)
    simulation.run({ kinematics: forkKinematics, toolpath, assemblies: [buildAssembly(tool)], tools: [tool] })
    const triangles = stockSurface(simulation.grid, 1e7)
    const edges = new Map<string, number>()
    let six = 0
    for (let at = 0; at < triangles.length; at += 9) {
      const [a, b, c] = [0, 3, 6].map(k => triangles.slice(at + k, at + k + 3))
      six += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0])
      for (const [from, to] of [[a, b], [b, c], [c, a]]) {
        edges.set(`${from} ${to}`, (edges.get(`${from} ${to}`) ?? 0) + 1)
        edges.set(`${to} ${from}`, (edges.get(`${to} ${from}`) ?? 0) - 1)
      }
    }
    expect([...edges.values()].every(count => count === 0)).toBe(true)
    expect(Math.abs(six / 6 / simulation.grid.volume() - 1)).toBeLessThan(0.01)
  })

  test('in another part frame: turned by right angles ray by ray, aslant by its surface', () => {
    const tool = toolOf({ shape: 'flat', DC: 6, LCF: 12 }), simulation = new StockSimulation(boxStock({ min: [-20, -5, -6], max: [20, 5, 0] }, 0.25))
    simulation.run({ kinematics: forkKinematics, toolpath: pathThrough(tool, [{ point: [-30, 0, -2] }, { point: [0, 0, -2] }]), assemblies: [buildAssembly(tool)], tools: [tool] })
    const left = simulation.grid.volume()
    const flipped = stockInFrame(simulation.grid, turnAndMove({ rotate: [Math.PI, 0, 0], translate: [1, 2, -6] }), 0.25)
    expect(flipped.frame.origin).toEqual([-19, -3, -6])
    expect(Math.abs(flipped.volume() / left - 1)).toBeLessThan(2e-3)
    const leant = stockInFrame(simulation.grid, turnAndMove({ rotate: [0.3, 0.2, 0.1], translate: [0, 0, 0] }), 0.25)
    expect(Math.abs(leant.volume() / left - 1)).toBeLessThan(1e-2)
    // And back again, as a mesh would be read.
    expect(Math.abs(meshStock(Float64Array.from(stockSurface(leant, 1e7)), 0.25).volume() / left - 1)).toBeLessThan(2e-2)
  })
})
