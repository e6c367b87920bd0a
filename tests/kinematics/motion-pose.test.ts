import { describe, expect, test } from 'vitest'
import { buildKinematics } from '../../shared/kinematics.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { MotionKind, ToolpathBuilder } from '../../shared/toolpath.ts'
import { anyMachine, machines, randomMachine } from '../contact/machines.ts'
import { motionWishes, randomPath, type MotionWish } from '../contact/random-path.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { TwinMachine } from '../harness/twin-machine.ts'

// The pose, its derivatives and the bounds on them, for every kind of motion on every kind of chain:
// the pose against 4 × 4 matrices written apart from it, the derivatives against differences of
// poses, the bounds against both at many moments.

const length = 120
const wishes = motionWishes.filter(wish => wish !== 'finishing' && wish !== 'still')

interface Taken { readonly p: number[], readonly a: number[], readonly v: number[], readonly w: number[] }

function take(pose: MotionPose, t: number): Taken {
  pose.at(t)
  return { p: [pose.px, pose.py, pose.pz], a: [pose.ax, pose.ay, pose.az], v: [pose.vx, pose.vy, pose.vz], w: [pose.wx, pose.wy, pose.wz] }
}

/** Calls back with every motion of some random paths of that kind. */
function forMotions(seed: number, wish: MotionWish, visit: (pose: MotionPose, random: SeededRandom, twinAt: (t: number) => { point: readonly number[], axis: readonly number[] }, where: string) => void): void {
  for (let i = 0; i < 40; i++) {
    const random = new SeededRandom(seed * 1000 + i)
    const machine = i < 10 ? randomMachine(random) : anyMachine(random)
    const base = machine.axes.map(() => random.between(-1, 1))
    const kinematics = buildKinematics(machine, base), path = randomPath(random, machine, kinematics, base, length, wish, 2)
    const pose = new MotionPose(kinematics, path, [length]), twin = new TwinMachine(machine, base)
    for (let motion = 0; motion < path.count; motion++) {
      pose.begin(motion)
      visit(pose, random, t => twin.poseAt(path, motion, length, t), `case ${seed * 1000 + i}, motion ${motion} on ${machine.name}`)
    }
  }
}

// The distance from a joint's axis changes with the travel: it matters beside turns of more than two radians.
test('seed 790: whole turns beside long travel keep below the bounds of speed and acceleration', () => {
  for (let i = 0; i < 60; i++) {
    const random = new SeededRandom(790_000 + i), machine = anyMachine(random)
    const start = machine.axes.map(() => random.between(-1, 1))
    const end = start.map((value, j) => value + random.pick([-1, 1]) * (machine.axes[j].kind === 'linear' ? random.between(0, 200) : random.between(3, 6)))
    const builder = new ToolpathBuilder(machine.axes.map(axis => axis.letter), start)
    builder.push(MotionKind.joints, 0, 0, 0, 1, end)
    const pose = new MotionPose(buildKinematics(machine, start.map(() => 0)), builder.finish(), [length])
    pose.begin(0)
    let last = take(pose, 0)
    for (let n = 1; n <= 200; n++) {
      const now = take(pose, n / 200)
      expect(norm(now.v), machine.name).toBeLessThanOrEqual(pose.speed * (1 + 1e-9))
      expect(distance(now.v, last.v) * 200, machine.name).toBeLessThanOrEqual(pose.acceleration * (1 + 1e-9) + 1e-6)
      last = now
    }
  }
})

describe.each(wishes.map((wish, i) => [wish, 700 + i] as const))('%s, seed %i', (wish, seed) => {
  test('the pose is that of the matrices', () => forMotions(seed, wish, (pose, random, twinAt, where) => {
    for (const t of [0, 1, 0.5, random.next(), random.next()]) {
      const { p, a } = take(pose, t), twin = twinAt(t)
      expect(distance(p, twin.point), where).toBeLessThan(1e-9)
      expect(distance(a, twin.axis), where).toBeLessThan(1e-12)
    }
  }))

  test('velocity and turning are the differences of poses', () => forMotions(seed, wish, (pose, random, _twin, where) => {
    const step = 1e-5
    for (let n = 0; n < 5; n++) {
      const t = random.between(step, 1 - step)
      const before = take(pose, t - step), after = take(pose, t + step), { a, v, w } = take(pose, t)
      const rate = (from: number[], to: number[]) => from.map((value, k) => (to[k] - value) / (2 * step))
      expect(distance(v, rate(before.p, after.p)), where).toBeLessThan(1e-6 * (1 + pose.speed + pose.acceleration))
      // The axis turns by Ω × a; Ω has no part along the axis.
      const turned = [w[1] * a[2] - w[2] * a[1], w[2] * a[0] - w[0] * a[2], w[0] * a[1] - w[1] * a[0]]
      expect(distance(turned, rate(before.a, after.a)), where).toBeLessThan(1e-6)
      expect(Math.abs(w[0] * a[0] + w[1] * a[1] + w[2] * a[2]), where).toBeLessThan(1e-12)
    }
  }))

  test('speed, acceleration, turn and turn rate keep below their bounds', () => forMotions(seed, wish, (pose, random, _twin, where) => {
    const { speed, acceleration, turn, turnRate } = pose
    const steps = 200
    let last = take(pose, 0)
    for (let i = 0; i <= steps; i++) {
      const now = take(pose, i / steps)
      expect(norm(now.v), where).toBeLessThanOrEqual(speed * (1 + 1e-9) + 1e-9)
      expect(norm(now.w), where).toBeLessThanOrEqual(turn * (1 + 1e-9) + 1e-12)
      // A mean over the step, so never above the largest value in it.
      expect(distance(now.v, last.v) * steps, where).toBeLessThanOrEqual(acceleration * (1 + 1e-9) + 1e-6)
      expect(distance(now.w, last.w) * steps, where).toBeLessThanOrEqual(turnRate * (1 + 1e-9) + 1e-9)
      for (const [x, y, z] of [[1, 0, 0], [0, 0.6, 0.8], [pose.squareX, pose.squareY, pose.squareZ]] as const) {
        const along = Math.abs((now.v[0] - last.v[0]) * x + (now.v[1] - last.v[1]) * y + (now.v[2] - last.v[2]) * z) * steps
        expect(along, where).toBeLessThanOrEqual(pose.accelerationAlong(x, y, z) * (1 + 1e-9) + 1e-6)
      }
      const way = random.direction()
      expect(Math.abs(dot(way, now.v) - dot(way, last.v)) * steps, where).toBeLessThanOrEqual(pose.accelerationAlong(...way) * (1 + 1e-9) + 1e-6)
      last = now
    }
  }))
})

describe('the bounds are worth something', () => {
  test('a plain table-table line has the speed of its ends, and no acceleration of the tool point', () => {
    const random = new SeededRandom(77), machine = machines.tableTable
    const base = [0, 0, 0, 0, 0], kinematics = buildKinematics(machine, base)
    const path = randomPath(random, machine, kinematics, base, length, 'long line', 1), pose = new MotionPose(kinematics, path, [length])
    pose.begin(0)
    expect(pose.acceleration).toBe(0)
    expect(pose.speed).toBeCloseTo(distance(take(pose, 0).p, take(pose, 1).p), 9)
  })

  test('seed 78: the bounds are at most a few times what occurs', () => {
    let loosest = 0
    forMotions(78, 'joints', pose => {
      let fastest = 0
      for (let t = 0; t <= 1; t += 0.05) fastest = Math.max(fastest, norm(take(pose, t).v))
      loosest = Math.max(loosest, pose.speed / fastest)
    })
    expect(loosest).toBeLessThan(20)
  })
})

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, k) => sum + value * b[k], 0)
}

function norm(v: readonly number[]): number {
  return Math.hypot(...v)
}

function distance(a: readonly number[], b: readonly number[]): number {
  return Math.hypot(...a.map((value, k) => value - b[k]))
}
