/** Unit normal and area (mm²) of every facet: four numbers a facet; nil where a facet has no area. */
export function facetNormals(corners: Float64Array): Float64Array {
  const count = corners.length / 9
  const normals = new Float64Array(count * 4)
  for (let t = 0; t < count; t++) {
    const i = t * 9
    const ux = corners[i + 3] - corners[i], uy = corners[i + 4] - corners[i + 1], uz = corners[i + 5] - corners[i + 2]
    const vx = corners[i + 6] - corners[i], vy = corners[i + 7] - corners[i + 1], vz = corners[i + 8] - corners[i + 2]
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz)
    if (length <= 0) continue
    normals[t * 4] = nx / length
    normals[t * 4 + 1] = ny / length
    normals[t * 4 + 2] = nz / length
    normals[t * 4 + 3] = length / 2
  }
  return normals
}

/**
 * Outward unit normals of the vertices, three numbers each: the facets' normals weighed by their
 * angles at the vertex, so that the way a surface is cut into facets does not matter (Thürmer and
 * Wüthrich, Journal of Graphics Tools 3(1), 1998; from memory). Where the facets cancel out, the normal is that of the first.
 */
export function vertexNormals(corners: Float64Array, facets: Float64Array, vertexOf: Uint32Array, vertexCount: number): Float64Array {
  const sums = new Float64Array(vertexCount * 3)
  for (let corner = 0; corner < vertexOf.length; corner++) {
    const t = Math.floor(corner / 3), k = corner - 3 * t, v = vertexOf[corner] * 3
    const angle = angleAt(corners, t * 9, k)
    for (let n = 0; n < 3; n++) sums[v + n] += angle * facets[t * 4 + n]
  }
  for (let corner = 0; corner < vertexOf.length; corner++) {
    const t = Math.floor(corner / 3), v = vertexOf[corner] * 3
    const length = Math.sqrt(sums[v] * sums[v] + sums[v + 1] * sums[v + 1] + sums[v + 2] * sums[v + 2])
    // An angle sum of this size has no direction left; one that has been made a unit vector passes.
    if (length < 1e-9) for (let n = 0; n < 3; n++) sums[v + n] = facets[t * 4 + n]
    else for (let n = 0; n < 3; n++) sums[v + n] /= length
  }
  return sums
}

/** Radians between the two sides of the facet that meet at its corner k. */
function angleAt(corners: Float64Array, at: number, k: number): number {
  const a = at + k * 3, b = at + (k + 1) % 3 * 3, c = at + (k + 2) % 3 * 3
  const ux = corners[b] - corners[a], uy = corners[b + 1] - corners[a + 1], uz = corners[b + 2] - corners[a + 2]
  const vx = corners[c] - corners[a], vy = corners[c + 1] - corners[a + 1], vz = corners[c + 2] - corners[a + 2]
  const across = Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx)
  return Math.atan2(across, ux * vx + uy * vy + uz * vz)
}
