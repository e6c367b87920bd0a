import { jointsForToolPoint, type Kinematics } from '../../shared/kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Triple } from '../../shared/setup.ts'
import { ARC_STRIDE, MotionFlag, MotionKind, ToolpathBuilder, type Toolpath } from '../../shared/toolpath.ts'
import type { SeededRandom } from '../harness/seeded-random.ts'
import { TwinMachine } from '../harness/twin-machine.ts'
import { cross, squareTo } from './machines.ts'

/** What a motion is like. */
export const motionWishes = ['finishing', 'long line', 'swing', 'joints', 'dog-leg', 'joint arc', 'tool arc', 'still', 'retract'] as const
export type MotionWish = typeof motionWishes[number]

/** mm and radians a motion covers at most: linear joints, rotary joints. */
const extents: Readonly<Record<MotionWish, readonly [number, number]>> = {
  'finishing': [0.3, 0.02], 'long line': [40, 0.3], 'swing': [5, 1.5], 'joints': [20, 0.5],
  'dog-leg': [80, 0.8], 'joint arc': [20, 0.5], 'tool arc': [20, 0.5], 'still': [0.3, 0], 'retract': [0.5, 0.02],
}

/** A path of motions of one kind, one after another. `length`: gauge point to tool point; `turns`, `travels`: whether rotary axes and the tool point move; `most`: mm that a motion covers at most, other than is usual for its kind. */
export function randomPath(random: SeededRandom, machine: Machine, kinematics: Kinematics, base: ArrayLike<number>, length: number, wish: MotionWish, count: number, { turns = true, travels = true, most }: { readonly turns?: boolean, readonly travels?: boolean, readonly most?: number } = {}): Toolpath {
  const start = machine.axes.map(axis => axis.kind === 'linear' ? random.between(-60, 60) : random.between(-1.2, 1.2))
  const builder = new ToolpathBuilder(machine.axes.map(axis => axis.letter), start)
  const twin = new TwinMachine(machine, base)
  let now: readonly number[] = start
  for (let i = 0; i < count; i++) {
    const [usual, widest] = extents[wish], way = most ?? usual, turn = turns ? widest : 0
    const share = random.pick([0.2, 1])
    const next = now.map((value, j) => value + (machine.axes[j].kind === 'linear' ? random.between(-way, way) : random.between(-turn, turn)) * share)
    switch (wish) {
      case 'joint arc': {
        const xyz = ['X', 'Y', 'Z'].map(letter => machine.axes.findIndex(axis => axis.letter === letter))
        const { record, end } = randomArc(random, [now[xyz[0]], now[xyz[1]], now[xyz[2]]], way * share)
        xyz.forEach((j, k) => { next[j] = end[k] })
        builder.push(MotionKind.jointArc, 0, i, 0, 1, next, record)
        break
      }
      case 'tool arc': {
        const { record, end } = randomArc(random, twin.pose(now, length).point, way * share)
        const solved = Float64Array.from(next)
        // A chain whose X, Y, Z do not span space at these angles cannot follow; the arc then ends where it can.
        jointsForToolPoint(kinematics, solved, length, ...end)
        builder.push(MotionKind.toolArc, 0, i, 0, 1, solved, record)
        now = [...solved]
        continue
      }
      case 'dog-leg': {
        // Each axis at the same rate: the shorter ones arrive first.
        const far = Math.max(...next.map((value, j) => Math.abs(value - now[j])))
        const middle = next.map((value, j) => now[j] + Math.sign(value - now[j]) * Math.min(Math.abs(value - now[j]), far / 3))
        builder.push(MotionKind.joints, MotionFlag.rapid, i, 0, 1, middle)
        builder.push(MotionKind.joints, MotionFlag.rapid, i, 0, 1, next)
        break
      }
      case 'retract': {
        builder.push(MotionKind.toolLine, 0, i, 0, 1, next)
        const away = next.map((value, j) => machine.axes[j].kind === 'linear' ? value + random.between(-20, 20) : value)
        builder.push(MotionKind.joints, MotionFlag.rapid, i, 0, 1, away)
        now = away
        continue
      }
      case 'joints':
        builder.push(MotionKind.joints, 0, i, 0, 1, next)
        break
      default: {
        const solved = Float64Array.from(next)
        if (!travels) jointsForToolPoint(kinematics, solved, length, ...twin.pose(now, length).point)
        builder.push(MotionKind.toolLine, 0, i, 0, 1, solved)
        now = [...solved]
        continue
      }
    }
    now = next
  }
  return builder.finish()
}

/** An arc, helix or slight spiral that sets out from `start`. */
export function randomArc(random: SeededRandom, start: Triple, size: number): { record: Float64Array, end: Triple } {
  const normal = random.direction(), u = squareTo(normal, random.direction()), v = cross(normal, u)
  const r0 = random.between(0.05, 1) * size, r1 = r0 + random.pick([0, random.between(-0.002, 0.002), random.between(-0.3, 0.3) * r0])
  const sweep = random.between(0.05, 1) * 2 * Math.PI, rise = random.pick([0, random.between(-1, 1) * size])
  const centre = start.map((value, k) => value - r0 * u[k])
  const at = (k: number) => centre[k] + r1 * (Math.cos(sweep) * u[k] + Math.sin(sweep) * v[k]) + rise * normal[k]
  const record = Float64Array.of(...centre, ...u, ...v, sweep, r0, r1)
  if (record.length !== ARC_STRIDE) throw new Error(`an arc record has ${ARC_STRIDE} numbers, not ${record.length}`)
  return { record, end: [at(0), at(1), at(2)] }
}
