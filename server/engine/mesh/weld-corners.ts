/** Corners that lie on exactly the same point, as one vertex, and the corners round each vertex. */
export interface WeldedMesh {
  readonly triangleCount: number
  readonly vertexCount: number
  /** Vertex of each corner; corner k of triangle t is 3 t + k. */
  readonly vertexOf: Uint32Array
  /** Corners round vertex v: `fan` from `fanStart[v]` up to `fanStart[v + 1]`, in the order of the triangles. */
  readonly fanStart: Uint32Array
  readonly fan: Uint32Array
}

/** `corners`: 9 finite numbers a triangle. Exact equality only: a gap of the least bit is a gap. */
export function weldCorners(corners: Float64Array): WeldedMesh {
  const cornerCount = Math.floor(corners.length / 9) * 3
  const bits = new Uint32Array(corners.buffer, corners.byteOffset, corners.length * 2)
  const vertexOf = new Uint32Array(cornerCount)
  const firstCorner = new Uint32Array(cornerCount)
  // Open addressing, at most 4/5 full even when no two corners meet; entries are vertex + 1.
  const size = 2 ** Math.ceil(Math.log2(Math.max(16, cornerCount * 1.25)))
  const mask = size - 1
  const table = new Uint32Array(size)
  let vertexCount = 0
  for (let corner = 0; corner < cornerCount; corner++) {
    const at = 3 * corner
    const x = corners[at], y = corners[at + 1], z = corners[at + 2]
    let slot = hash(bits, 2 * at) & mask
    for (;;) {
      const entry = table[slot]
      if (entry === 0) {
        firstCorner[vertexCount] = at
        vertexOf[corner] = vertexCount
        table[slot] = ++vertexCount
        break
      }
      const other = firstCorner[entry - 1]
      if (corners[other] === x && corners[other + 1] === y && corners[other + 2] === z) {
        vertexOf[corner] = entry - 1
        break
      }
      slot = (slot + 1) & mask
    }
  }
  return { triangleCount: cornerCount / 3, vertexCount, vertexOf, ...fansOf(vertexOf, vertexCount) }
}

/** Mixes the six halves of three doubles; 0 and -0 are one. Multipliers are those of a common 32-bit mixing step. */
function hash(bits: Uint32Array, at: number): number {
  let h = 0x9e3779b9
  for (let i = at; i < at + 6; i += 2) {
    const low = bits[i], high = bits[i + 1]
    if (low === 0 && high << 1 === 0) h ^= 0x165667b1
    else h ^= low ^ Math.imul(high, 0x85ebca6b)
    h = Math.imul(h ^ h >>> 15, 0xc2b2ae35)
    h ^= h >>> 13
  }
  return h >>> 0
}

function fansOf(vertexOf: Uint32Array, vertexCount: number): { fanStart: Uint32Array, fan: Uint32Array } {
  const fanStart = new Uint32Array(vertexCount + 1)
  for (let corner = 0; corner < vertexOf.length; corner++) fanStart[vertexOf[corner] + 1]++
  for (let v = 0; v < vertexCount; v++) fanStart[v + 1] += fanStart[v]
  const next = fanStart.slice(0, vertexCount)
  const fan = new Uint32Array(vertexOf.length)
  for (let corner = 0; corner < vertexOf.length; corner++) fan[next[vertexOf[corner]]++] = corner
  return { fanStart, fan }
}
