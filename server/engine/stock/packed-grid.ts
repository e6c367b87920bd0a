import type { GridFrame } from './grid-frame.ts'
import { TILE_RAYS, type RayTile } from './ray-family.ts'
import { StockGrid } from './stock-grid.ts'

/** The tiles that hold material of one family of rays, one behind the other. */
export interface PackedFamily {
  /** Place of each tile in its family, rising. */
  readonly places: Int32Array
  /** Slots of each ray of a tile, by tile. */
  readonly slots: Int32Array
  /** Stretches of each ray, tile by tile. */
  readonly counts: Uint8Array
  /** Ends of the stretches, tile by tile, mm from the grid's origin along the ray. */
  readonly bounds: Float32Array
}

/** A grid as plain data, to be kept. */
export interface PackedGrid {
  readonly frame: GridFrame
  /** Rays along X, Y and Z. */
  readonly families: readonly PackedFamily[]
}

/** Copies a grid into plain data. */
export function packGrid({ frame, families }: StockGrid): PackedGrid {
  return { frame, families: families.map(({ tiles }) => packTiles(tiles)) }
}

/** The grid that was packed, bit for bit. Throws a RangeError where the data do not fit each other. */
export function unpackGrid({ frame, families }: PackedGrid): StockGrid {
  const grid = new StockGrid(frame)
  for (const [axis, family] of grid.families.entries()) {
    const { places, slots, counts, bounds } = families[axis]
    let from = 0
    for (let k = 0, rays = 0; k < places.length; k++) {
      const end = from + TILE_RAYS * slots[k] * 2, tile = {
        slots: slots[k], bounds: bounds.slice(from, end), counts: counts.slice(rays, rays + TILE_RAYS), low: Infinity, high: -Infinity, isStale: false, epoch: 0,
      }
      if (places[k] >= family.tiles.length || end > bounds.length || tile.counts.length < TILE_RAYS) throw new RangeError('the rays of a stock do not fill its tiles')
      family.tiles[places[k]] = tile
      from = end
      rays += TILE_RAYS
    }
    family.settle()
  }
  return grid
}

function packTiles(tiles: readonly (RayTile | undefined)[]): PackedFamily {
  const full = tiles.flatMap((tile, place) => tile === undefined ? [] : [{ tile, place }])
  const bounds = new Float32Array(full.reduce((sum, { tile }) => sum + tile.bounds.length, 0)), counts = new Uint8Array(full.length * TILE_RAYS)
  let from = 0
  for (const [k, { tile }] of full.entries()) {
    counts.set(tile.counts, k * TILE_RAYS)
    bounds.set(tile.bounds, from)
    from += tile.bounds.length
  }
  return { places: Int32Array.from(full, ({ place }) => place), slots: Int32Array.from(full, ({ tile }) => tile.slots), counts, bounds }
}
