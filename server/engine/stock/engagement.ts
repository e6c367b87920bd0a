import type { RayFamily } from './ray-family.ts'
import type { SweepCell } from './sweep-cell.ts'
import type { SweptSection } from './swept-section.ts'

/** mm. A ray that loses less has lost nothing: twice what cuts are worked out to. */
export const COUNTS = 0.01

/** Parts of a motion's time that are told apart as in the cut or in air. */
const mostParts = 32

/** What one motion takes away, as the rays see it. */
export class Engagement {
  /** mm³; the mean of what the three families say. */
  volume = 0
  /** mm. The longest stretch of a ray that goes: less than `COUNTS` is what rounding leaves. */
  longest = 0
  /** Heights on the tool, mm above the tool point, between which material is met. */
  lowest = Infinity
  highest = -Infinity
  #left = Infinity
  #right = -Infinity
  #parts = new Uint8Array(mostParts)
  #count = 1
  #cell: SweepCell | undefined
  /** The feed runs along the axis: the whole width of the tool is across it. */
  #isAlong = false
  // Unit vector across feed and axis.
  #sx = 0
  #sy = 0
  #sz = 0

  /** A new motion. `length`: of the tool point's way, mm; `pitch`: of the rays. */
  begin(length: number, pitch: number): void {
    this.volume = this.longest = 0
    this.lowest = this.#left = Infinity
    this.highest = this.#right = -Infinity
    this.#count = Math.max(1, Math.min(mostParts, Math.floor(length / (2 * pitch))))
    this.#parts.fill(0)
  }

  /** The stretch of the motion that is cut next. */
  enter(cell: SweepCell): void {
    this.#cell = cell
    const x = cell.vy * cell.az - cell.vz * cell.ay, y = cell.vz * cell.ax - cell.vx * cell.az, z = cell.vx * cell.ay - cell.vy * cell.ax
    const size = Math.sqrt(x * x + y * y + z * z), speed = Math.sqrt(cell.vx * cell.vx + cell.vy * cell.vy + cell.vz * cell.vz)
    this.#isAlong = size < 0.1 * speed || size === 0
    this.#sx = x / size
    this.#sy = y / size
    this.#sz = z / size
  }

  /** A stretch [low, high] of the ray in the section's hand is gone, `length` of it material, met about `time`. */
  removed(family: RayFamily, section: SweptSection, low: number, high: number, time: number, length: number): void {
    const cell = this.#cell
    if (cell === undefined) return
    this.volume += length * family.area / 3
    if (length > this.longest) this.longest = length
    const at = Math.floor((cell.middle + time) * this.#count)
    this.#parts[Math.max(0, Math.min(this.#count - 1, at))] = 1
    this.#meet(section, low, time)
    this.#meet(section, high, time)
  }

  /** Whether material goes at all, and at the end of the motion. */
  get isMet(): boolean {
    return this.longest > COUNTS
  }

  get isMetAtEnd(): boolean {
    return this.isMet && this.#parts[this.#count - 1] === 1
  }

  /** Share of the motion's time in which material goes, 0..1. */
  get share(): number {
    if (!this.isMet) return 0
    let met = 0
    for (let part = 0; part < this.#count; part++) met += this.#parts[part]
    return met / this.#count
  }

  /** Extent of the material met along the tool's axis, mm. */
  get depth(): number {
    return Math.max(0, this.highest - this.lowest)
  }

  /** Extent of the material met across feed and axis, mm; in a plunge the diameter that cuts. */
  get width(): number {
    return Math.max(0, this.#isAlong ? 2 * this.#right : this.#right - this.#left)
  }

  #meet(section: SweptSection, s: number, time: number): void {
    const h = section.heightAt(s, time)
    if (h < this.lowest) this.lowest = h
    if (h > this.highest) this.highest = h
    const side = this.#isAlong ? section.radiusAt(s, time) : section.along(s, time, this.#sx, this.#sy, this.#sz)
    if (side < this.#left) this.#left = side
    if (side > this.#right) this.#right = side
  }
}
