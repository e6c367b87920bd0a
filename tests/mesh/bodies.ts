// Small bodies as triangles, nine numbers each, corners counter-clockwise seen from outside.

export type Corner = readonly [number, number, number]

export function triangles(...facets: readonly (readonly [Corner, Corner, Corner])[]): Float64Array {
  return Float64Array.from(facets.flat(2))
}

/** A box from the origin to `size`. */
export function box([x, y, z]: Corner): Float64Array {
  const p = (i: number, j: number, k: number): Corner => [i * x, j * y, k * z]
  const face = (a: Corner, b: Corner, c: Corner, d: Corner): [Corner, Corner, Corner][] => [[a, b, c], [a, c, d]]
  return triangles(
    ...face(p(0, 0, 0), p(0, 1, 0), p(1, 1, 0), p(1, 0, 0)), ...face(p(0, 0, 1), p(1, 0, 1), p(1, 1, 1), p(0, 1, 1)),
    ...face(p(0, 0, 0), p(1, 0, 0), p(1, 0, 1), p(0, 0, 1)), ...face(p(0, 1, 0), p(0, 1, 1), p(1, 1, 1), p(1, 1, 0)),
    ...face(p(0, 0, 0), p(0, 0, 1), p(0, 1, 1), p(0, 1, 0)), ...face(p(1, 0, 0), p(1, 1, 0), p(1, 1, 1), p(1, 0, 1)),
  )
}

/** An icosahedron, each facet cut in four `times` times, corners on the sphere; equilateral within a few per cent. */
export function sphere(radius: number, times: number): Float64Array {
  const g = (1 + Math.sqrt(5)) / 2
  const corners: Corner[] = [[-1, g, 0], [1, g, 0], [-1, -g, 0], [1, -g, 0], [0, -1, g], [0, 1, g], [0, -1, -g], [0, 1, -g], [g, 0, -1], [g, 0, 1], [-g, 0, -1], [-g, 0, 1]]
  const faces = [[0, 11, 5], [0, 5, 1], [0, 1, 7], [0, 7, 10], [0, 10, 11], [1, 5, 9], [5, 11, 4], [11, 10, 2], [10, 7, 6], [7, 1, 8], [3, 9, 4], [3, 4, 2], [3, 2, 6], [3, 6, 8], [3, 8, 9], [4, 9, 5], [2, 4, 11], [6, 2, 10], [8, 6, 7], [9, 8, 1]]
  const on = ([x, y, z]: Corner): Corner => {
    const scale = radius / Math.hypot(x, y, z)
    return [x * scale, y * scale, z * scale]
  }
  const middle = (a: Corner, b: Corner): Corner => on([a[0] + b[0], a[1] + b[1], a[2] + b[2]])
  let facets = faces.map(([a, b, c]): [Corner, Corner, Corner] => [on(corners[a]), on(corners[b]), on(corners[c])])
  for (let i = 0; i < times; i++) {
    facets = facets.flatMap(([a, b, c]): [Corner, Corner, Corner][] => {
      const ab = middle(a, b), bc = middle(b, c), ca = middle(c, a)
      return [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
    })
  }
  return Float64Array.from(facets.flat(2))
}

/** The wall of a cylinder about Z, open above and below: `around` strips of two triangles, one on top of the other `rows` times. */
export function cylinderWall(radius: number, height: number, around: number, rows: number): Float64Array {
  const p = (i: number, j: number): Corner => [radius * Math.cos(2 * Math.PI * (i % around) / around), radius * Math.sin(2 * Math.PI * (i % around) / around), height * j / rows]
  const facets: [Corner, Corner, Corner][] = []
  for (let i = 0; i < around; i++) {
    for (let j = 0; j < rows; j++) facets.push([p(i, j), p(i + 1, j), p(i + 1, j + 1)], [p(i, j), p(i + 1, j + 1), p(i, j + 1)])
  }
  return Float64Array.from(facets.flat(2))
}

export function inverted(corners: Float64Array): Float64Array {
  const turned = corners.slice()
  for (let i = 0; i < corners.length; i += 9) {
    turned.set(corners.subarray(i + 6, i + 9), i + 3)
    turned.set(corners.subarray(i + 3, i + 6), i + 6)
  }
  return turned
}

export function joined(...meshes: readonly Float64Array[]): Float64Array {
  return Float64Array.from(meshes.flatMap(mesh => [...mesh]))
}

/** Without the facets whose numbers are given. */
export function without(corners: Float64Array, ...facets: readonly number[]): Float64Array {
  return corners.filter((_, i) => !facets.includes(Math.floor(i / 9)))
}

/** A binary STL file; every normal is nil. */
export function binaryStl(corners: ArrayLike<number>, header = 'made for a test'): Uint8Array {
  const count = Math.floor(corners.length / 9)
  const bytes = new Uint8Array(84 + 50 * count)
  bytes.set(new TextEncoder().encode(header).subarray(0, 80))
  const view = new DataView(bytes.buffer)
  view.setUint32(80, count, true)
  for (let t = 0; t < count; t++) {
    for (let k = 0; k < 9; k++) view.setFloat32(84 + 50 * t + 12 + 4 * k, corners[9 * t + k], true)
  }
  return bytes
}

export function asciiStl(corners: ArrayLike<number>, write: (n: number) => string = String): string {
  let text = 'solid made for a test\n'
  for (let i = 0; i + 8 < corners.length; i += 9) {
    const vertex = (at: number) => `      vertex ${write(corners[at])} ${write(corners[at + 1])} ${write(corners[at + 2])}\n`
    text += `  facet normal 0 0 0\n    outer loop\n${vertex(i)}${vertex(i + 3)}${vertex(i + 6)}    endloop\n  endfacet\n`
  }
  return text + 'endsolid made for a test\n'
}

export function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text)
}
