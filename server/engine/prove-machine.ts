import { buildKinematics, jointsForToolPoint, newToolPose, toolPose } from '../../shared/kinematics.ts'
import { nearestTurn, RotarySolver } from '../../shared/inverse-kinematics.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Triple } from '../../shared/setup.ts'

/** One way in which a machine holds its tool in a direction. */
export interface HeldWay {
  /** In joint order, mm and radians; the tool point stands at program zero. */
  readonly joints: readonly number[]
  /** Letters of the axes that cannot stand there. */
  readonly beyond: readonly string[]
  /** How far the machine's chains put the tool point from program zero there, mm: nought but for rounding. */
  readonly off: number
}

export interface HeldDirection {
  /** Unit vector from the tip to the spindle, part frame. */
  readonly direction: Triple
  /** Angle by which the machine misses it, radians; it then has no way to hold it. */
  readonly miss: number
  readonly ways: readonly HeldWay[]
}

/**
 * How the machine holds its tool at program zero in stated directions: every way there is, with all joint values. `base`: joint
 * values of program zero, in joint order; `length`: gauge point to tool point, mm. Values that a machine's own display can be held against.
 */
export function heldDirections(machine: Machine, base: readonly number[], length: number, directions: readonly Triple[]): HeldDirection[] {
  const kinematics = buildKinematics(machine, base), solver = new RotarySolver(kinematics, machine.axes.map(({ range }) => range)), pose = newToolPose()
  return directions.map(direction => {
    solver.solve(...direction)
    const reached = solver.ways > 0 && solver.miss < REACHED
    const ways = !reached ? [] : [solver.first, solver.second].slice(0, solver.ways).map((values): HeldWay => {
      const joints = Float64Array.from(base)
      solver.order.forEach((joint, n) => {
        joints[joint] = solver.free[n] === true ? base[joint] ?? 0 : nearestTurn(values[n] ?? 0, base[joint] ?? 0, machine.axes[joint]?.range)
      })
      const isPlaced = jointsForToolPoint(kinematics, joints, length, 0, 0, 0)
      toolPose(kinematics, joints, length, pose)
      const beyond = machine.axes.filter(({ range }, n) => range !== undefined && ((joints[n] ?? 0) < range[0] - SLACK || (joints[n] ?? 0) > range[1] + SLACK)).map(({ letter }) => letter)
      return { joints: [...joints], beyond, off: isPlaced ? Math.hypot(...pose.point) : Infinity }
    })
    return { direction, miss: solver.miss, ways: ways.filter((way, n) => n === 0 || ways[0]?.joints.some((value, j) => Math.abs(value - (way.joints[j] ?? 0)) > SAME)) }
  })
}

/** Radians. A direction missed by no more than this is held. */
const REACHED = 1e-9
/** Radians or mm: room for rounding at the end of a travel. */
const SLACK = 1e-9
/** Radians or mm. Joints nearer than this are the same way. */
const SAME = 1e-9

/** One place on the work that was touched in several positions of the rotary axes. */
export interface TouchedPlace {
  /** Where each touch puts it, part frame, mm: the same for all where machine and file agree. */
  readonly points: readonly Triple[]
  /** Largest distance between two of them, mm, and which two. */
  readonly spread: number
  readonly between: readonly [number, number]
}

/** Where touches put one and the same place. `touches`: joint values in joint order, mm and radians; `length`: gauge point to the point that touches, mm. */
export function touchedPlace(machine: Machine, base: readonly number[], length: number, touches: readonly (readonly number[])[]): TouchedPlace {
  const kinematics = buildKinematics(machine, base), pose = newToolPose()
  const points = touches.map((joints): Triple => {
    toolPose(kinematics, joints, length, pose)
    const [x = 0, y = 0, z = 0] = pose.point
    return [x, y, z]
  })
  let spread = 0, between: readonly [number, number] = [0, 0]
  points.forEach((a, n) => points.slice(0, n).forEach((b, m) => {
    const apart = Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])
    if (apart > spread) {
      spread = apart
      between = [m, n]
    }
  }))
  return { points, spread, between }
}
