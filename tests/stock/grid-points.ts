import { TILE_SIDE, type RayFamily } from '../../server/engine/stock/ray-family.ts'
import type { StockGrid } from '../../server/engine/stock/stock-grid.ts'

/** The material on one ray: rising pairs, mm in the part frame. */
export function stretchesOf({ frame }: StockGrid, family: RayFamily, i: number, j: number): number[] {
  const tile = family.tiles[Math.floor(i / TILE_SIDE) + Math.floor(j / TILE_SIDE) * family.sizes[0][0]]
  if (tile === undefined) return []
  const ray = i % TILE_SIDE + j % TILE_SIDE * TILE_SIDE
  return Array.from({ length: 2 * tile.counts[ray] }, (_, k) => tile.bounds[ray * tile.slots * 2 + k] + frame.origin[family.axis])
}

/** The place of a ray, its part along the ray given. */
export function placeOnRay({ frame }: StockGrid, { axis, u, v }: RayFamily, i: number, j: number, along: number): [number, number, number] {
  const place: [number, number, number] = [0, 0, 0]
  place[axis] = along
  place[u] = frame.origin[u] + (i + 0.5) * frame.pitch[u]
  place[v] = frame.origin[v] + (j + 0.5) * frame.pitch[v]
  return place
}

/** All the grid holds, ray after ray. */
export function allStretches(grid: StockGrid): number[][] {
  return grid.families.flatMap(family => Array.from({ length: family.nu * family.nv }, (_, ray) => stretchesOf(grid, family, ray % family.nu, Math.floor(ray / family.nu))))
}
