import type { Triple } from '../../../shared/setup.ts'
import { seen, type ViewFrame } from './view-frame.ts'

/** A view upon the part fitted into a picture of so many dots. */
export interface Raster {
  readonly frame: ViewFrame
  readonly width: number
  readonly height: number
  /** Dots a millimetre. */
  readonly scale: number
}

/** What stands foremost in each dot, row by row. */
export interface DepthBuffer extends Raster {
  /** Toward the reader, in dots; -Infinity where nothing stands. */
  readonly depth: Float32Array
  /** 1, dark, to `SHADES`, light, by how much it faces the light; 0 where nothing stands. */
  readonly shade: Uint8Array
}

/** mm. A box is shown no larger than if it had this size. */
const LEAST_SIZE = 1e-3

/** Shades of a part, dark to light: few enough for long runs of one shade. */
export const SHADES = 10

/** The view that shows the whole box, with so many dots of edge about it. */
export function fitted(frame: ViewFrame, min: Triple, max: Triple, width: number, height: number, edge: number): Raster {
  const box = [0, 1, 2, 3, 4, 5, 6, 7].map(n => seen(frame, [n & 1 ? max[0] : min[0], n & 2 ? max[1] : min[1], n & 4 ? max[2] : min[2]]))
  const wide = Math.max(LEAST_SIZE, ...box.map(([x]) => Math.abs(x) * 2)), high = Math.max(LEAST_SIZE, ...box.map(([, y]) => Math.abs(y) * 2))
  return { frame, width, height, scale: Math.min((width - 2 * edge) / wide, (height - 2 * edge) / high) }
}

/** Where a place comes to stand, in dots: across, down, and toward the reader. */
export function inRaster({ frame, width, height, scale }: Raster, point: Triple): readonly [number, number, number] {
  const [x, y, z] = seen(frame, point)
  return [width / 2 + x * scale, height / 2 - y * scale, z * scale]
}

/** The foremost of all triangles in every dot, lit from the upper left of the reader. */
export function drawDepths(corners: Float64Array, raster: Raster): DepthBuffer {
  const dots = raster.width * raster.height
  const buffer = { ...raster, depth: new Float32Array(dots).fill(-Infinity), shade: new Uint8Array(dots) }
  for (let i = 0; i < corners.length; i += 9) paint(corners, i, buffer)
  return buffer
}

/** One triangle into the buffer; its shade by how much it faces the reader, whichever side it shows. */
function paint(corners: Float64Array, at: number, buffer: DepthBuffer): void {
  const { width, height, depth, shade } = buffer
  const [a, b, c] = [0, 3, 6].map(n => inRaster(buffer, [corners[at + n], corners[at + n + 1], corners[at + n + 2]]))
  const area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
  if (Math.abs(area) < 1e-12) return
  const gx = ((b[2] - a[2]) * (c[1] - a[1]) - (c[2] - a[2]) * (b[1] - a[1])) / area
  const gy = ((c[2] - a[2]) * (b[0] - a[0]) - (b[2] - a[2]) * (c[0] - a[0])) / area
  // The unit normal is (-gx, -gy, 1) over its length; light falls from the upper left of the reader.
  const light = Math.abs(0.35 * gx + 0.45 * gy + 0.82) / Math.hypot(gx, gy, 1)
  const tone = Math.max(1, Math.min(SHADES, Math.ceil(light * SHADES)))
  const top = Math.max(0, Math.ceil(Math.min(a[1], b[1], c[1]) - 0.5)), bottom = Math.min(height - 1, Math.floor(Math.max(a[1], b[1], c[1]) - 0.5))
  for (let y = top; y <= bottom; y++) {
    const row = y + 0.5
    let low = Infinity, high = -Infinity
    for (const [p, q] of [[a, b], [b, c], [c, a]] as const) {
      if (p[1] <= row === q[1] <= row) continue
      const x = p[0] + (row - p[1]) / (q[1] - p[1]) * (q[0] - p[0])
      low = Math.min(low, x)
      high = Math.max(high, x)
    }
    const last = Math.min(width - 1, Math.ceil(high - 0.5) - 1)
    for (let x = Math.max(0, Math.ceil(low - 0.5)); x <= last; x++) {
      const z = a[2] + gx * (x + 0.5 - a[0]) + gy * (row - a[1]), to = y * width + x
      if (z > depth[to]) {
        depth[to] = z
        shade[to] = tone
      }
    }
  }
}
