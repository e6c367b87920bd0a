// The scene of the benchmark: a bore whose wall has an overhanging, bumpy lip at its mouth, finished
// below the lip by a 4 mm ball with a 6 mm shank and a conical holder. mm, mouth in the plane z = 0.

import type { NativeBody } from './native-peers.ts'

type Vector = readonly [number, number, number]

const wallRadius = 20, lipRadius = 15, lipHeight = 6, depth = 45

/** Ways round the bore and down it; the lip takes its share of the second. */
function surface(around: number, down: number): Vector {
  const theta = 2 * Math.PI * around, z = -depth * down
  const r = radiusAt(theta, z)
  return [r * Math.cos(theta), r * Math.sin(theta), z]
}

/** Smooth from lip to wall; bumps of a third of a millimetre, some 8 mm from one to the next. */
function radiusAt(theta: number, z: number): number {
  const lip = (wallRadius - lipRadius) / (1 + Math.exp((-z - lipHeight) * -1.6))
  const wall = lipRadius + lip
  return wall + 0.15 * Math.sin(14 * theta + 0.7 * z) + 0.15 * Math.sin(0.75 * z + 2 * Math.sin(3 * theta)) * Math.cos(11 * theta)
}

/** About `count` triangles as even as the grid allows, corners counter-clockwise seen from inside the bore. */
export function boreMesh(count: number): Float64Array {
  const rows = Math.round(Math.sqrt(count / 2 * depth / (2 * Math.PI * wallRadius))), columns = Math.round(count / 2 / rows)
  const corners = new Float64Array(rows * columns * 18)
  let at = 0
  const upper: Vector[] = Array.from({ length: columns + 1 }, (_, i) => surface((i % columns) / columns, 0)), lower: Vector[] = [...upper]
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i <= columns; i++) lower[i] = surface((i % columns) / columns, (j + 1) / rows)
    for (let i = 0; i < columns; i++) {
      for (const corner of [upper[i], upper[i + 1], lower[i + 1], upper[i], lower[i + 1], lower[i]]) {
        corners.set(corner, at)
        at += 3
      }
    }
    upper.splice(0, upper.length, ...lower)
  }
  return corners
}

/** Binary STL: 80 bytes of header, the count, and for each facet a normal of noughts, nine numbers and two bytes. */
export function boreStl(corners: Float64Array): Uint8Array {
  const count = corners.length / 9, bytes = new Uint8Array(84 + 50 * count), view = new DataView(bytes.buffer)
  view.setUint32(80, count, true)
  for (let i = 0; i < count; i++) {
    for (let k = 0; k < 9; k++) view.setFloat32(84 + 50 * i + 12 + 4 * k, corners[9 * i + k] ?? 0, true)
  }
  return bytes
}

/** Blocks of 0.3 mm round the wall from 20 to 30 mm down, the ball touching it, the shank leant past the lip. */
export function boreProgram(blocks: number): string {
  const lines = ['%', 'O7', 'G21 G17 G90 G94', 'G40 G49 G80', 'G54', 'T1 M6', 'S16000 M3', 'G0 A0. C0.', 'G43.4 H1', 'G0 X0. Y0. Z90.', 'G1 X0. Y0. Z20. F2000.']
  const perTurn = Math.round(2 * Math.PI * wallRadius / 0.3)
  for (let n = 0; n < blocks; n++) {
    const theta = 2 * Math.PI * n / perTurn, z = -20 - 10 * n / blocks
    const { centre, axis } = ballAt(theta, z)
    // ISO 841 table, A under C: axis = (sin A sin C, -sin A cos C, cos A).
    const a = Math.acos(axis[2]), c = theta + Math.PI / 2 + angleBetween(axis, theta)
    lines.push(`N${(n + 1) * 10} X${centre[0].toFixed(4)} Y${centre[1].toFixed(4)} Z${centre[2].toFixed(4)} A${degrees(a)} C${degrees(c)}${n === 0 ? ' F900.' : ''}`)
  }
  lines.push('G1 X0. Y0. Z20. F2000.', 'G0 Z90.', 'G49', 'M5', 'M30', '%')
  return `${lines.join('\n')}\n`
}

/** Centre of the ball as it touches the wall there, and the axis that passes the lip. */
function ballAt(theta: number, z: number): { centre: Vector, axis: Vector } {
  const step = 1e-4, r = radiusAt(theta, z)
  const slopeZ = (radiusAt(theta, z + step) - radiusAt(theta, z - step)) / (2 * step)
  const slopeT = (radiusAt(theta + step, z) - radiusAt(theta - step, z)) / (2 * step * r)
  // Into the bore, in the frame of (radius, round, z).
  const size = Math.hypot(1, slopeT, slopeZ)
  const inward = [-1 / size, slopeT / size, slopeZ / size]
  const radial = r + 2 * inward[0], round = 2 * inward[1]
  const [c, s] = [Math.cos(theta), Math.sin(theta)]
  const centre: Vector = [radial * c - round * s, radial * s + round * c, z + 2 * inward[2]]
  // Up the axis the shank must have come 1 mm inside the lip at the lip's lower edge.
  const lean = Math.atan((radial + 3 + 1 - lipRadius) / (-z - lipHeight))
  return { centre, axis: [-Math.sin(lean) * c, -Math.sin(lean) * s, Math.cos(lean)] }
}

/** How far the axis leans beside the way back to the middle; none here, but the words must not jump. */
function angleBetween(axis: Vector, theta: number): number {
  const way = Math.atan2(axis[1], axis[0]) - theta - Math.PI
  return Math.PI + Math.atan2(Math.sin(way), Math.cos(way))
}

function degrees(radians: number): string {
  return (radians * 180 / Math.PI).toFixed(4)
}

export const boreSheet = JSON.stringify({
  units: 'mm',
  programs: ['bore.nc'],
  baseOffset: 'G54',
  offsets: { G54: { X: 0, Y: 0, Z: 100, A: 0, C: 0 } },
  part: { mesh: 'bore.stl', units: 'mm' },
  limits: { gouge: 0.01, clearance: { neck: 0.15, shank: 0.15, holder: 1, rapid: 1 }, axisStep: 5 },
  tools: [{
    number: 1, name: 'ball 4', cutter: { shape: 'ball', DC: 4, LCF: 6 }, shank: { DCONMS: 6, BHTA: 15 }, neck: { DN: 3.7, LU: 10 },
    LPR: 38, holder: [{ diameter: 12, topDiameter: 20, length: 30 }, { diameter: 50, length: 20 }],
    point: 'centre', lengthOffset: 1, maxSpeed: 24000, maxFeed: 3000,
  }],
})

/** The same tool for those that know spheres and cylinders alone: cylinders of the middle diameter stand for cones. Heights above the ball's centre, mm. */
export const boreBodies: readonly NativeBody[] = [
  { kind: 'sphere', radius: 2, from: 0, to: 0 },
  { kind: 'cylinder', radius: 2, from: 0, to: 4 },
  { kind: 'cylinder', radius: 1.85, from: 4, to: 8 },
  { kind: 'cylinder', radius: 3, from: 8, to: 36 },
  { kind: 'cylinder', radius: 8, from: 36, to: 66 },
  { kind: 'cylinder', radius: 25, from: 66, to: 86 },
]
