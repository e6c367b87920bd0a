// Turns an outline about the tool axis. Tool frame, mm: the axis is +z, heights grow to the spindle.

export interface LatheSurface {
  readonly positions: Float32Array
  readonly normals: Float32Array
  readonly indices: Uint32Array
}

/** Where the outline turns by less than this, the surface is shaded as round; more is an edge. Radians. */
const ROUND_BELOW = Math.PI / 7

/**
 * The surface of revolution of an outline of (radius, height) points from the tip upward, closed at
 * both ends. Each piece of the outline has vertices of its own, so that edges stay sharp; normals
 * point outward. Pieces of no length, and those on the axis, leave no surface.
 */
export function latheSurface(outline: readonly (readonly [number, number])[], sides: number): LatheSurface {
  const points = closedOutline(outline)
  const pieces = points.length - 1
  const rows = Math.max(0, pieces) * 2
  const positions = new Float32Array(rows * (sides + 1) * 3)
  const normals = new Float32Array(rows * (sides + 1) * 3)
  const indices = new Uint32Array(Math.max(0, pieces) * sides * 6)
  let indexAt = 0
  for (let piece = 0; piece < pieces; piece++) {
    const own = normalOf(points, piece)
    if (own === undefined) continue
    for (let end = 0; end < 2; end++) {
      const normal = blended(own, normalOf(points, end === 0 ? piece - 1 : piece + 1))
      writeRing(points[piece + end], normal, piece * 2 + end, sides, positions, normals)
    }
    const below = piece * 2 * (sides + 1), above = below + sides + 1
    for (let side = 0; side < sides; side++) {
      // Counter-clockwise seen from outside.
      if (points[piece][0] > 0) indexAt = writeTriangle(indices, indexAt, below + side, below + side + 1, above + side)
      if (points[piece + 1][0] > 0) indexAt = writeTriangle(indices, indexAt, below + side + 1, above + side + 1, above + side)
    }
  }
  return { positions, normals, indices: indices.slice(0, indexAt) }
}

/** Neighbouring points that fall together are one; an end off the axis gets a flat face. */
function closedOutline(outline: readonly (readonly [number, number])[]): (readonly [number, number])[] {
  const points: (readonly [number, number])[] = []
  const add = (point: readonly [number, number]) => {
    const last = points.at(-1)
    if (last === undefined || last[0] !== point[0] || last[1] !== point[1]) points.push(point)
  }
  if (outline.length > 0) add([0, outline[0][1]])
  for (const point of outline) add(point)
  if (outline.length > 0) add([0, outline[outline.length - 1][1]])
  return points
}

/** Outward normal (radial, axial) of a piece; the solid lies to its left, going up. */
function normalOf(points: readonly (readonly [number, number])[], piece: number): readonly [number, number] | undefined {
  if (piece < 0 || piece + 1 >= points.length) return undefined
  const [r0, h0] = points[piece], [r1, h1] = points[piece + 1]
  const length = Math.hypot(r1 - r0, h1 - h0)
  if (length === 0 || (r0 <= 0 && r1 <= 0)) return undefined
  return [(h1 - h0) / length, -(r1 - r0) / length]
}

function blended(own: readonly [number, number], other: readonly [number, number] | undefined): readonly [number, number] {
  if (other === undefined || own[0] * other[0] + own[1] * other[1] < Math.cos(ROUND_BELOW)) return own
  const r = own[0] + other[0], h = own[1] + other[1]
  const length = Math.hypot(r, h)
  return [r / length, h / length]
}

function writeRing(
  [radius, height]: readonly [number, number], [radial, axial]: readonly [number, number],
  row: number, sides: number, positions: Float32Array, normals: Float32Array,
): void {
  for (let side = 0; side <= sides; side++) {
    const angle = side === sides ? 0 : side / sides * 2 * Math.PI
    const c = Math.cos(angle), s = Math.sin(angle)
    const at = (row * (sides + 1) + side) * 3
    positions[at] = radius * c
    positions[at + 1] = radius * s
    positions[at + 2] = height
    normals[at] = radial * c
    normals[at + 1] = radial * s
    normals[at + 2] = axial
  }
}

function writeTriangle(indices: Uint32Array, at: number, a: number, b: number, c: number): number {
  indices[at] = a
  indices[at + 1] = b
  indices[at + 2] = c
  return at + 3
}
