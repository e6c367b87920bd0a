import { describe, expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { buildKinematics, type Kinematics } from '../../shared/kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Cutter, Limits, OutlineStep, Tool, Triple } from '../../shared/setup.ts'
import { ARC_STRIDE, MotionKind, ToolpathBuilder, type Toolpath } from '../../shared/toolpath.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import type { ContactFigures } from '../../server/engine/contact/contact-figures.ts'
import { MotionSearcher, type SearchInput } from '../../server/engine/contact/search-motions.ts'
import { buildMeshTree } from '../../server/engine/mesh/mesh-tree.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { transform, type Matrix } from '../harness/twin-machine.ts'
import { cross, squareTo } from './machines.ts'
import { limits, randomCase, type RandomCase } from './random-case.ts'

// What must be the same whichever way the same thing is put: both intervals hold the true figure, so
// they must overlap. No outside source: properties of space and of time.

const cases = 60
const rounding = 1e-6

/** One entry a motion and component, of each form; `scale`: how much larger the second form is. */
interface TwoForms { readonly one: Figures, readonly two: Figures, readonly scale?: number }
type Figures = Pick<ContactFigures, 'value' | 'certified'>

function compare(seed: number, formsOf: (job: RandomCase, random: SeededRandom) => TwoForms): void {
  for (let i = 0; i < cases; i++) {
    const random = new SeededRandom(seed * 1000 + i), job = randomCase(random)
    const { one, two, scale = 1 } = formsOf(job, random)
    expect(one.value.length).toBe(two.value.length)
    for (let at = 0; at < one.value.length; at++) {
      const where = `case ${seed * 1000 + i}, entry ${at} [${job.name}]`
      expect(one.certified[at], where).toBeLessThanOrEqual(two.value[at] / scale + rounding)
      expect(two.certified[at] / scale, where).toBeLessThanOrEqual(one.value[at] + rounding)
    }
  }
}

describe('certified figures, the same case put another way', () => {
  test('seed 501: part and mesh moved and turned together', () => compare(501, (job, random) => {
    const x = random.direction(), y = squareTo(x, random.direction()), z = cross(x, y)
    const m: Matrix = [...x, random.between(-500, 500), ...y, random.between(-500, 500), ...z, random.between(-500, 500), 0, 0, 0, 1]
    const two = search({ ...job.input, kinematics: seenFrom(job.input.kinematics, m), toolpath: turnedArcs(job.input.toolpath, m) }, moved(job.corners, m))
    return { one: search(job.input, job.corners), two }
  }))

  test.each([[502, 1 / 25.4], [503, 25.4], [504, 3]])('seed %i: everything scaled by %f', (seed, scale) => compare(seed, job => {
    const machine = scaledMachine(job.machine, scale), tool = scaledTool(job.tool, scale)
    const base = job.base.map((value, j) => machine.axes[j].kind === 'linear' ? value * scale : value)
    const two = search({
      kinematics: buildKinematics(machine, base),
      toolpath: scaledPath(job.input.toolpath, machine, scale),
      assemblies: [buildAssembly(tool)],
      limits: { ...job.input.limits, sets: [{ limits: scaledLimits(scale), origin: {} }] },
      epsilon: job.input.epsilon * scale,
    }, job.corners.map(value => value * scale))
    return { one: search(job.input, job.corners), two, scale }
  }))

  test('seed 505: the mesh\'s triangles in another order, their corners turned round', () => compare(505, (job, random) => {
    const order = Array.from({ length: job.corners.length / 9 }, (_, i) => ({ i, key: random.next() })).sort((a, b) => a.key - b.key)
    const mixed = order.flatMap(({ i }) => [...job.corners.subarray(i * 9 + 3, i * 9 + 9), ...job.corners.subarray(i * 9, i * 9 + 3)])
    return { one: search(job.input, job.corners), two: search(job.input, Float64Array.from(mixed)) }
  }))

  test('seed 506: every triangle cut in four', () => compare(506, job => ({ one: search(job.input, job.corners), two: search(job.input, cutInFour(job.corners)) })))

  test('seed 507: the motions run backward', () => compare(507, job => {
    const rows = rowsOf(job.input.toolpath)
    const forward = search(through(job.input, rows), job.corners), backward = search(through(job.input, rows.toReversed()), job.corners)
    const count = rows.length - 1
    const turned = (figures: Float64Array) => figures.map((_, at) => figures[(count - 1 - Math.floor(at / 4)) * 4 + at % 4])
    return { one: forward, two: { value: turned(backward.value), certified: turned(backward.certified) } }
  }))

  test('seed 508: each motion in two halves, the worse of which counts', () => compare(508, job => {
    const rows = rowsOf(job.input.toolpath)
    const halved = rows.flatMap((row, i) => i === 0 ? [row] : [row.map((value, j) => (value + rows[i - 1][j]) / 2), row])
    const whole = search(through(job.input, rows), job.corners), halves = search(through(job.input, halved), job.corners)
    const worse = (figures: Float64Array) => whole.value.map((_, at) => {
      const first = Math.floor(at / 4) * 8 + at % 4
      return Math.min(figures[first], figures[first + 4])
    })
    return { one: whole, two: { value: worse(halves.value), certified: worse(halves.certified) } }
  }))
})

function search(input: SearchInput, corners: Float64Array): ContactFigures {
  return new MotionSearcher(input, buildMeshTree(corners, false).tree, neverCancelled).searchRun(0, input.toolpath.count)
}

function moved(corners: Float64Array, m: Matrix): Float64Array {
  const out = new Float64Array(corners.length)
  for (let i = 0; i < corners.length; i += 3) out.set(transform(m, corners.subarray(i, i + 3), 1), i)
  return out
}

/** The same machine, its part frame laid elsewhere: a point p of it is called m p now. */
function seenFrom(k: Kinematics, m: Matrix): Kinematics {
  const back = [m[0], m[4], m[8], m[1], m[5], m[9], m[2], m[6], m[10]], r = k.partRotation
  const rotation = Array.from({ length: 9 }, (_, i) => [0, 1, 2].reduce((sum, n) => sum + r[Math.floor(i / 3) * 3 + n] * back[n * 3 + i % 3], 0))
  const shift = [m[3], m[7], m[11]]
  const origin = [0, 1, 2].map(i => k.partOrigin[i] - [0, 1, 2].reduce((sum, n) => sum + rotation[i * 3 + n] * shift[n], 0))
  return { ...k, partRotation: rotation, partOrigin: [origin[0], origin[1], origin[2]] }
}

/** Arcs of the tool point lie in the part frame, those of the joints do not. */
function turnedArcs(path: Toolpath, m: Matrix): Toolpath {
  const arcs = path.arcs.slice()
  for (let i = 0; i < path.count; i++) {
    if (path.kind[i] !== MotionKind.toolArc) continue
    const at = path.arcOf[i] * ARC_STRIDE
    for (const [offset, w] of [[0, 1], [3, 0], [6, 0]] as const) arcs.set(transform(m, path.arcs.subarray(at + offset, at + offset + 3), w), at + offset)
  }
  return { ...path, arcs }
}

function scaledMachine(machine: Machine, s: number): Machine {
  const scaled = (v: Triple): Triple => [v[0] * s, v[1] * s, v[2] * s]
  return { ...machine, axes: machine.axes.map(axis => ({ ...axis, through: scaled(axis.through) })), spindle: { ...machine.spindle, gauge: scaled(machine.spindle.gauge) } }
}

function scaledTool(tool: Tool, s: number): Tool {
  return {
    ...tool,
    cutter: scaledCutter(tool.cutter, s),
    neck: tool.neck && { DN: tool.neck.DN * s, LU: tool.neck.LU * s },
    shank: tool.shank && { ...tool.shank, DCONMS: tool.shank.DCONMS * s },
    LPR: tool.LPR * s,
    holder: tool.holder.map(({ diameter, topDiameter, length }) => ({ diameter: diameter * s, topDiameter: topDiameter * s, length: length * s })),
  }
}

function scaledCutter(cutter: Cutter, s: number): Cutter {
  const grown = { ...cutter, DC: cutter.DC * s, LCF: cutter.LCF * s }
  switch (grown.shape) {
    case 'bull':
    case 'taper': return { ...grown, RE: grown.RE * s }
    case 'lollipop': return { ...grown, DN: grown.DN * s }
    case 'apt': return { ...grown, d: grown.d * s, r: grown.r * s, e: grown.e * s, f: grown.f * s, h: grown.h * s }
    case 'profile': return { ...grown, outline: grown.outline.map(step => scaledStep(step, s)) }
    default: return grown
  }
}

function scaledStep(step: OutlineStep, s: number): OutlineStep {
  const scaled = ([r, h]: readonly [number, number]) => [r * s, h * s] as const
  return step.kind === 'line' ? { ...step, from: scaled(step.from), to: scaled(step.to) } : { ...step, centre: scaled(step.centre), radius: step.radius * s }
}

function scaledLimits(s: number): Limits {
  const { neck, shank, holder, head, rapid } = limits.clearance
  return { ...limits, gouge: limits.gouge * s, clearance: { neck: neck * s, shank: shank * s, holder: holder * s, head: head * s, rapid: rapid * s } }
}

function scaledPath(path: Toolpath, machine: Machine, s: number): Toolpath {
  const width = path.axes.length
  return {
    ...path,
    joints: path.joints.map((value, i) => machine.axes[i % width].kind === 'linear' ? value * s : value),
    arcs: path.arcs.map((value, i) => [0, 1, 2, 10, 11].includes(i % ARC_STRIDE) ? value * s : value),
  }
}

function cutInFour(corners: Float64Array): Float64Array {
  const numbers: number[] = []
  for (let i = 0; i < corners.length; i += 9) {
    const [a, b, c] = [corners.subarray(i, i + 3), corners.subarray(i + 3, i + 6), corners.subarray(i + 6, i + 9)]
    const middle = (p: Float64Array, q: Float64Array) => p.map((value, k) => (value + q[k]) / 2)
    const ab = middle(a, b), bc = middle(b, c), ca = middle(c, a)
    numbers.push(...a, ...ab, ...ca, ...ab, ...b, ...bc, ...ca, ...bc, ...c, ...ab, ...bc, ...ca)
  }
  return Float64Array.from(numbers)
}

function rowsOf(path: Toolpath): Float64Array[] {
  const width = path.axes.length
  return Array.from({ length: path.count + 1 }, (_, i) => path.joints.slice(i * width, (i + 1) * width))
}

/** Feed motions with even joints from row to row. */
function through(input: SearchInput, rows: readonly Float64Array[]): SearchInput {
  const builder = new ToolpathBuilder(input.toolpath.axes, rows[0])
  rows.slice(1).forEach((row, i) => builder.push(MotionKind.joints, 0, i, 0, 1, row))
  const toolpath = builder.finish()
  return { ...input, toolpath, limits: { ...input.limits, ofMotion: new Uint16Array(toolpath.count) } }
}
