/** Triangles (nine numbers each) as a binary STL file: 80 bytes of title, the count, fifty bytes a triangle. */
export function stlBytes(corners: Float32Array, title: string): Uint8Array {
  const count = corners.length / 9
  const bytes = new Uint8Array(84 + 50 * count)
  const view = new DataView(bytes.buffer)
  for (let i = 0; i < Math.min(title.length, 80); i++) bytes[i] = title.charCodeAt(i)
  view.setUint32(80, count, true)
  for (let i = 0; i < count; i++) {
    const from = i * 9, to = 84 + i * 50
    const normal = facetNormal(corners, from)
    for (let k = 0; k < 3; k++) view.setFloat32(to + 4 * k, normal[k], true)
    for (let k = 0; k < 9; k++) view.setFloat32(to + 12 + 4 * k, corners[from + k], true)
  }
  return bytes
}

/** Unit normal by the right-hand rule over the corners; zero where the triangle has no area. */
function facetNormal(corners: Float32Array, at: number): readonly [number, number, number] {
  const ax = corners[at + 3] - corners[at], ay = corners[at + 4] - corners[at + 1], az = corners[at + 5] - corners[at + 2]
  const bx = corners[at + 6] - corners[at], by = corners[at + 7] - corners[at + 1], bz = corners[at + 8] - corners[at + 2]
  const x = ay * bz - az * by, y = az * bx - ax * bz, z = ax * by - ay * bx
  const length = Math.sqrt(x * x + y * y + z * z)
  return length > 0 ? [x / length, y / length, z / length] : [0, 0, 0]
}
