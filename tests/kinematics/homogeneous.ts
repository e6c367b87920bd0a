import type { Machine } from '../../shared/machine.ts'

// A second way to the tool pose, kept apart from the engine's: 4 × 4 matrices, elementary rotations
// about the coordinate axes only, and the joints composed by plain multiplication.

export type Matrix = readonly (readonly number[])[]

export const identity: Matrix = [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]

export function times(a: Matrix, b: Matrix): Matrix {
  return a.map(row => [0, 1, 2, 3].map(c => row.reduce((sum, value, n) => sum + value * b[n][c], 0)))
}

export function translation(x: number, y: number, z: number): Matrix {
  return [[1, 0, 0, x], [0, 1, 0, y], [0, 0, 1, z], [0, 0, 0, 1]]
}

export function aboutX(angle: number): Matrix {
  const c = Math.cos(angle), s = Math.sin(angle)
  return [[1, 0, 0, 0], [0, c, -s, 0], [0, s, c, 0], [0, 0, 0, 1]]
}

export function aboutY(angle: number): Matrix {
  const c = Math.cos(angle), s = Math.sin(angle)
  return [[c, 0, s, 0], [0, 1, 0, 0], [-s, 0, c, 0], [0, 0, 0, 1]]
}

export function aboutZ(angle: number): Matrix {
  const c = Math.cos(angle), s = Math.sin(angle)
  return [[c, -s, 0, 0], [s, c, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]
}

/** Inverse of a rigid motion: rotation transposed, origin carried back. */
export function inverse(m: Matrix): Matrix {
  const rows = [0, 1, 2].map(r => {
    const turned = [0, 1, 2].map(c => m[c][r])
    return [...turned, -turned.reduce((sum, value, n) => sum + value * m[n][3], 0)]
  })
  return [...rows, [0, 0, 0, 1]]
}

/** Turn about any line: its direction is first laid along Z by turns about Z and Y. */
export function aboutLine(direction: ArrayLike<number>, through: ArrayLike<number>, angle: number): Matrix {
  const [x, y, z] = [direction[0], direction[1], direction[2]]
  const azimuth = Math.atan2(y, x), tilt = Math.atan2(Math.hypot(x, y), z)
  const lay = times(aboutZ(azimuth), aboutY(tilt))
  const turned = times(times(lay, aboutZ(angle)), inverse(lay))
  return times(times(translation(through[0], through[1], through[2]), turned), translation(-through[0], -through[1], -through[2]))
}

function chain(machine: Machine, joints: ArrayLike<number>, order: readonly number[]): Matrix {
  return order.reduce<Matrix>((product, joint) => {
    const axis = machine.axes[joint], d = axis.direction, q = joints[joint]
    return times(product, axis.kind === 'rotary' ? aboutLine(d, axis.through, q) : translation(d[0] * q, d[1] * q, d[2] * q))
  }, identity)
}

/** Frame of the spindle's gauge point, axes as at rest, seen from the last link of the table. */
function spindleOnTable(machine: Machine, joints: ArrayLike<number>): Matrix {
  const { gauge } = machine.spindle
  const spindle = times(chain(machine, joints, machine.head), translation(gauge[0], gauge[1], gauge[2]))
  return times(inverse(chain(machine, joints, machine.table)), spindle)
}

/** Tool point and axis in the part frame, which stands where the gauge point stands at `base`, with the machine's axes there. */
export function twinPose(machine: Machine, base: ArrayLike<number>, joints: ArrayLike<number>, length: number): { point: number[], axis: number[] } {
  const origin = spindleOnTable(machine, base)
  const turned = inverse(chain(machine, base, machine.table))
  const part: Matrix = [0, 1, 2].map(r => [turned[r][0], turned[r][1], turned[r][2], origin[r][3]]).concat([[0, 0, 0, 1]])
  const seen = times(inverse(part), spindleOnTable(machine, joints))
  const z = machine.spindle.axis
  const axis = [0, 1, 2].map(r => seen[r][0] * z[0] + seen[r][1] * z[1] + seen[r][2] * z[2])
  return { axis, point: [0, 1, 2].map(r => seen[r][3] - length * axis[r]) }
}
