import type { GridFrame } from './grid-frame.ts'

/** Rays along one side of a tile. */
export const TILE_SIDE = 16

/** Rays of a tile. */
export const TILE_RAYS = TILE_SIDE * TILE_SIDE

/** A ray keeps at most this many stretches of material: a cut that would part it further is left out, so that material stays. */
const mostStretches = 255

/** mm. Material thinner than this beside a cut goes with it. */
export const SKIN = 1e-4

/**
 * The material on the rays of one tile: for ray r, `counts[r]` stretches, each two numbers from
 * `bounds[r × slots × 2]` on, rising; mm from the grid's origin along the ray.
 */
export interface RayTile {
  readonly slots: number
  readonly bounds: Float32Array
  readonly counts: Uint8Array
  /** The lowest and highest material of the tile; low > high where there is none. */
  low: number
  high: number
  /** A ray that reached the one or the other no longer does. */
  isStale: boolean
  /** The epoch in which it was made: a tile older than the last snapshot belongs to that snapshot too, and is copied before it changes. */
  readonly epoch: number
}

/** One of the three families of parallel rays, in square tiles, with a pyramid of the material's extent above them. */
export class RayFamily {
  /** The rays run along this axis: 0, 1 or 2; the other two count them. */
  readonly axis: number
  readonly u: number
  readonly v: number
  /** Rays along u and v. */
  readonly nu: number
  readonly nv: number
  /** Area that one ray stands for, mm². */
  readonly area: number
  /** Tiles, by level 0 of the pyramid; undefined where nothing is left. */
  tiles: (RayTile | undefined)[]
  /** Nodes along u and v of each level, and their lowest and highest material; the last level is one node. */
  readonly sizes: (readonly [number, number])[] = []
  readonly lows: Float32Array[] = []
  readonly highs: Float32Array[] = []
  #epoch = 0

  constructor(frame: GridFrame, axis: number) {
    this.axis = axis
    this.u = (axis + 1) % 3
    this.v = (axis + 2) % 3
    this.nu = frame.counts[this.u]
    this.nv = frame.counts[this.v]
    this.area = frame.pitch[this.u] * frame.pitch[this.v]
    let size: [number, number] = [Math.ceil(this.nu / TILE_SIDE), Math.ceil(this.nv / TILE_SIDE)]
    this.tiles = new Array<RayTile | undefined>(size[0] * size[1]).fill(undefined)
    for (;;) {
      this.sizes.push(size)
      this.lows.push(new Float32Array(size[0] * size[1]).fill(Infinity))
      this.highs.push(new Float32Array(size[0] * size[1]).fill(-Infinity))
      if (size[0] === 1 && size[1] === 1) break
      size = [Math.ceil(size[0] / 2), Math.ceil(size[1] / 2)]
    }
  }

  /** The tiles as they stand; they are copied before the next change. */
  snapshot(): (RayTile | undefined)[] {
    this.#epoch++
    return [...this.tiles]
  }

  /** Takes up a snapshot again. */
  restore(tiles: readonly (RayTile | undefined)[]): void {
    this.#epoch++
    this.tiles = [...tiles]
    for (let at = 0; at < this.tiles.length; at++) this.#setExtent(at)
    for (let level = 1; level < this.sizes.length; level++) {
      for (let at = 0; at < this.lows[level].length; at++) this.#join(level, at)
    }
  }

  /** Gives ray (i, j) its material: rising pairs, mm from the origin. For filling; the extents follow with `settle`. */
  fill(i: number, j: number, pairs: ArrayLike<number>): void {
    const count = Math.min(pairs.length >> 1, mostStretches)
    if (count === 0) return
    const at = this.tileOf(i, j)
    let tile = this.tiles[at] ?? newTile(1, this.#epoch)
    if (count > tile.slots) tile = enlarged(tile, count, this.#epoch)
    this.tiles[at] = tile
    const ray = rayInTile(i, j), first = ray * tile.slots * 2
    for (let k = 0; k < count * 2; k++) tile.bounds[first + k] = pairs[k]
    // What one ray cannot hold stays material.
    if (pairs.length >> 1 > mostStretches) tile.bounds[first + count * 2 - 1] = pairs[pairs.length - 1]
    tile.counts[ray] = count
  }

  /** Works out the extents of all tiles after filling. */
  settle(): void {
    for (const tile of this.tiles) if (tile !== undefined) measure(tile)
    this.restore(this.tiles)
  }

  tileOf(i: number, j: number): number {
    return Math.floor(i / TILE_SIDE) + Math.floor(j / TILE_SIDE) * this.sizes[0][0]
  }

  /** A tile that may be changed: a copy where a snapshot holds it too. */
  own(at: number): RayTile {
    const tile = this.tiles[at]
    if (tile === undefined) throw new Error('a tile without material was to be cut')
    if (tile.epoch === this.#epoch) return tile
    const copy = { ...tile, bounds: tile.bounds.slice(), counts: tile.counts.slice(), epoch: this.#epoch }
    this.tiles[at] = copy
    return copy
  }

  /**
   * Takes [low, high] away from a ray of the tile and answers the length that went, mm. The tile has
   * to be owned; it is replaced where a ray is parted into more stretches than it has room for.
   */
  cut(at: number, ray: number, low: number, high: number): number {
    let tile = this.tiles[at]
    if (tile === undefined) return 0
    let gone = 0
    for (let k = 0; k < tile.counts[ray]; k++) {
      const place = (ray * tile.slots + k) * 2, from = tile.bounds[place], to = tile.bounds[place + 1]
      if (to <= low || from >= high) continue
      const isFromStart = low <= from + SKIN, isToEnd = high >= to - SKIN
      if ((isFromStart && from <= tile.low) || (isToEnd && to >= tile.high)) tile.isStale = true
      if (isFromStart && isToEnd) {
        gone += to - from
        removePair(tile, ray, k)
        k--
      } else if (isFromStart) {
        tile.bounds[place] = high
        gone += tile.bounds[place] - from
      } else if (isToEnd) {
        tile.bounds[place + 1] = low
        gone += to - tile.bounds[place + 1]
      } else {
        if (tile.counts[ray] === mostStretches) return gone
        if (tile.counts[ray] === tile.slots) {
          tile = enlarged(tile, tile.slots * 2, this.#epoch)
          this.tiles[at] = tile
        }
        gone += part(tile, ray, k, low, high)
        break
      }
    }
    return gone
  }

  /** Brings the extents up to date after cuts in a tile; one without material is dropped. */
  shrink(at: number): void {
    const tile = this.tiles[at]
    if (tile === undefined || !tile.isStale) return
    measure(tile)
    if (tile.low > tile.high) this.tiles[at] = undefined
    const width = this.sizes[0][0]
    this.#setExtent(at)
    let i = at % width, j = Math.floor(at / width)
    for (let level = 1; level < this.sizes.length; level++) {
      i >>= 1
      j >>= 1
      const node = i + j * this.sizes[level][0], low = this.lows[level][node], high = this.highs[level][node]
      this.#join(level, node)
      if (low === this.lows[level][node] && high === this.highs[level][node]) break
    }
  }

  /** Length of all material times the area of a ray, mm³. */
  volume(): number {
    let length = 0
    for (const tile of this.tiles) {
      if (tile === undefined) continue
      for (let ray = 0; ray < TILE_RAYS; ray++) {
        const first = ray * tile.slots * 2
        for (let k = 0; k < tile.counts[ray]; k++) length += tile.bounds[first + 2 * k + 1] - tile.bounds[first + 2 * k]
      }
    }
    return length * this.area
  }

  /** Bytes that the rays take. */
  bytes(): number {
    return this.tiles.reduce((sum, tile) => sum + (tile === undefined ? 0 : tile.bounds.byteLength + tile.counts.byteLength), 0)
  }

  #setExtent(at: number): void {
    const tile = this.tiles[at]
    this.lows[0][at] = tile?.low ?? Infinity
    this.highs[0][at] = tile?.high ?? -Infinity
  }

  #join(level: number, node: number): void {
    const [width] = this.sizes[level], [below, rows] = this.sizes[level - 1]
    const i = node % width * 2, j = Math.floor(node / width) * 2
    let low = Infinity, high = -Infinity
    for (let b = j; b < Math.min(j + 2, rows); b++) {
      for (let a = i; a < Math.min(i + 2, below); a++) {
        low = Math.min(low, this.lows[level - 1][a + b * below])
        high = Math.max(high, this.highs[level - 1][a + b * below])
      }
    }
    this.lows[level][node] = low
    this.highs[level][node] = high
  }
}

/** Place of a ray in its tile. */
export function rayInTile(i: number, j: number): number {
  return i % TILE_SIDE + j % TILE_SIDE * TILE_SIDE
}

function newTile(slots: number, epoch: number): RayTile {
  return { slots, bounds: new Float32Array(TILE_RAYS * slots * 2), counts: new Uint8Array(TILE_RAYS), low: Infinity, high: -Infinity, isStale: false, epoch }
}

function enlarged(tile: RayTile, slots: number, epoch: number): RayTile {
  const next = newTile(slots, epoch)
  for (let ray = 0; ray < TILE_RAYS; ray++) {
    const from = ray * tile.slots * 2
    next.bounds.set(tile.bounds.subarray(from, from + tile.counts[ray] * 2), ray * slots * 2)
  }
  next.counts.set(tile.counts)
  next.low = tile.low
  next.high = tile.high
  next.isStale = tile.isStale
  return next
}

function removePair(tile: RayTile, ray: number, k: number): void {
  const first = ray * tile.slots * 2
  tile.bounds.copyWithin(first + 2 * k, first + 2 * k + 2, first + 2 * tile.counts[ray])
  tile.counts[ray]--
}

/** Parts stretch k in two; answers the length between them. */
function part(tile: RayTile, ray: number, k: number, low: number, high: number): number {
  const first = ray * tile.slots * 2, place = first + 2 * k
  tile.bounds.copyWithin(place + 2, place, first + 2 * tile.counts[ray])
  tile.bounds[place + 1] = low
  tile.bounds[place + 2] = high
  tile.counts[ray]++
  return tile.bounds[place + 2] - tile.bounds[place + 1]
}

function measure(tile: RayTile): void {
  let low = Infinity, high = -Infinity
  for (let ray = 0; ray < TILE_RAYS; ray++) {
    const count = tile.counts[ray]
    if (count === 0) continue
    const first = ray * tile.slots * 2
    if (tile.bounds[first] < low) low = tile.bounds[first]
    if (tile.bounds[first + 2 * count - 1] > high) high = tile.bounds[first + 2 * count - 1]
  }
  tile.low = low
  tile.high = high
  tile.isStale = false
}
