import type { Triple } from '../../../shared/setup.ts'

/** Where the rays of a grid run. Ray i of an axis stands at origin + (i + ½) pitch; part frame, mm. */
export interface GridFrame {
  readonly origin: Triple
  /** Distance of neighbours along each axis: the box is parted evenly. */
  readonly pitch: Triple
  readonly counts: readonly [number, number, number]
}

/** The box that the stock lies in, part frame, mm. */
export interface StockBounds { readonly min: Triple, readonly max: Triple }

/** Bytes that the rays of the stock may take at first, where nothing else is asked for. */
export const defaultBudget = 32 * 1024 * 1024

/** Bytes of a ray with one stretch of material. */
const bytesPerRay = 9

/** mm. Nothing finer is chosen unasked: time grows with its square. */
const finestPitch = 0.1

/** The rays of a box at a pitch, or no farther apart than the pitch that the memory allows. */
export function gridFrame({ min, max }: StockBounds, pitch: number): GridFrame {
  const size = [0, 1, 2].map(k => max[k] - min[k])
  const counts = size.map(length => Math.max(1, Math.ceil(length / pitch - 1e-9)))
  return {
    origin: min,
    pitch: [size[0] / counts[0], size[1] / counts[1], size[2] / counts[2]],
    counts: [counts[0], counts[1], counts[2]],
  }
}

/**
 * The pitch at which the rays of the box take no more than so many bytes. Three families of rays:
 * (xy + yz + zx) / pitch² rays.
 */
export function pitchFor({ min, max }: StockBounds, budget: number = defaultBudget): number {
  const [x, y, z] = [0, 1, 2].map(k => max[k] - min[k])
  return roundPitch(Math.max(finestPitch, Math.sqrt((x * y + y * z + z * x) * bytesPerRay / budget)))
}

/** Two digits, rounded up. */
export function roundPitch(exact: number): number {
  if (exact <= 0) return 0
  const step = 10 ** (Math.floor(Math.log10(exact)) - 1)
  return Math.ceil(exact / step - 1e-9) * step
}

/** Bytes that the rays of a box take at first. */
export function bytesAt({ min, max }: StockBounds, pitch: number): number {
  const [x, y, z] = [0, 1, 2].map(k => max[k] - min[k])
  return (x * y + y * z + z * x) / pitch ** 2 * bytesPerRay
}

/** The widest of the three. */
export function widestPitch({ pitch }: GridFrame): number {
  return Math.max(...pitch)
}
