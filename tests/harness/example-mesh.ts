import type { ExampleBody } from '../../server/engine/lint/rule.ts'

type Corner = readonly [number, number, number]
type Triangle = readonly [Corner, Corner, Corner]

/** The bytes of a mesh file an example names. */
export function exampleMesh(mesh: ExampleBody | { readonly stl: string }): Uint8Array {
  return new TextEncoder().encode('stl' in mesh ? mesh.stl : stlText(trianglesOf(mesh)))
}

function trianglesOf(body: ExampleBody): Triangle[] {
  if ('plate' in body) {
    const half = body.plate.size / 2
    return boxTriangles([-half, -half, -body.plate.thickness], [half, half, 0])
  }
  if ('cylinder' in body) return cylinderTriangles(body.cylinder)
  const triangles = boxTriangles(body.box.min, body.box.max)
  if (body.fault === 'open') return triangles.slice(1)
  if (body.fault === 'inside-out') return triangles.map(([a, b, c]) => [c, b, a])
  if (body.fault === 'degenerate') return [...triangles, [body.box.min, body.box.max, body.box.max]]
  return triangles
}

/** Counterclockwise seen from outside. */
export function boxTriangles([x0, y0, z0]: Corner, [x1, y1, z1]: Corner): Triangle[] {
  return [
    ...quad([x0, y0, z1], [x1, y0, z1], [x1, y1, z1], [x0, y1, z1]),
    ...quad([x0, y1, z0], [x1, y1, z0], [x1, y0, z0], [x0, y0, z0]),
    ...quad([x0, y0, z0], [x1, y0, z0], [x1, y0, z1], [x0, y0, z1]),
    ...quad([x1, y0, z0], [x1, y1, z0], [x1, y1, z1], [x1, y0, z1]),
    ...quad([x1, y1, z0], [x0, y1, z0], [x0, y1, z1], [x1, y1, z1]),
    ...quad([x0, y1, z0], [x0, y0, z0], [x0, y0, z1], [x0, y1, z1]),
  ]
}

function cylinderTriangles({ diameter, height, facets }: { diameter: number, height: number, facets: number }): Triangle[] {
  const r = diameter / 2
  const corner = (i: number, z: number): Corner => {
    const angle = 2 * Math.PI * (i % facets) / facets
    return [r * Math.cos(angle), r * Math.sin(angle), z]
  }
  return Array.from({ length: facets }, (_, i): Triangle[] => [
    ...quad(corner(i, -height), corner(i + 1, -height), corner(i + 1, 0), corner(i, 0)),
    [[0, 0, 0], corner(i, 0), corner(i + 1, 0)],
    [[0, 0, -height], corner(i + 1, -height), corner(i, -height)],
  ]).flat()
}

function quad(a: Corner, b: Corner, c: Corner, d: Corner): Triangle[] {
  return [[a, b, c], [a, c, d]]
}

function stlText(triangles: readonly Triangle[]): string {
  const facets = triangles.map(corners => {
    const vertices = corners.map(corner => `    vertex ${corner.join(' ')}`).join('\n')
    return `  facet normal 0 0 0\n   outer loop\n${vertices}\n   endloop\n  endfacet`
  })
  return `solid example\n${facets.join('\n')}\nendsolid example\n`
}
