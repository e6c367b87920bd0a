import type { Triple } from '../../../shared/setup.ts'
import { drawing, escaped, fixed, pathThrough } from './markup.ts'
import type { SectionPoint } from './mesh-section.ts'
import { thinned } from './window.ts'
import { seen, viewFromCorner, type ViewFrame } from './view-frame.ts'

/** What is shown of a part and the way over it: mm, part frame. */
export interface PartToDraw {
  readonly name: string
  readonly corners: Float64Array
  readonly min: Triple
  readonly max: Triple
  /** Runs of the tool point without a gap; feed moves apart from rapids. */
  readonly runs: readonly { readonly rapid: boolean, readonly points: readonly Triple[] }[]
  /** Places with the mark that stands beside them. */
  readonly marks: readonly { readonly mark: string, readonly point: Triple }[]
}

const WIDTH = 640
const HEIGHT = 460
const EDGE = 24
/** Shades of the part, light to dark: few enough for long runs of one shade. */
const SHADES = 10
/** Dots of the way nearer than this to the last one are left out. */
const NEAREST = 0.5

/** The part with light and shade from the front right and above, the tool point's way over it, and numbered places. */
export function partPicture({ name, corners, min, max, runs, marks }: PartToDraw): string {
  const frame = viewFromCorner([(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2])
  const box = [0, 1, 2, 3, 4, 5, 6, 7].map(n => seen(frame, [n & 1 ? max[0] : min[0], n & 2 ? max[1] : min[1], n & 4 ? max[2] : min[2]]))
  const width = Math.max(...box.map(([x]) => Math.abs(x))) * 2, height = Math.max(...box.map(([, y]) => Math.abs(y))) * 2
  const scale = Math.min((WIDTH - 2 * EDGE) / width, (HEIGHT - 2 * EDGE) / height)
  const place = (point: Triple): SectionPoint => {
    const [x, y] = seen(frame, point)
    return [WIDTH / 2 + x * scale, HEIGHT / 2 - y * scale]
  }
  const labels = marks.map(({ mark, point }) => ({ mark, at: place(point) }))
  return drawing(WIDTH, HEIGHT, `${name} from the front right and above, with the way of the tool point${marks.length === 0 ? '' : ` and the places of the findings ${marks.map(({ mark }) => mark).join(', ')}`}.`, [
    ...shadedRows(corners, frame, scale),
    ...runs.map(({ rapid, points }) => `<path class="${rapid ? 'rapid' : 'way'}" d="${pathThrough(thinned(points.map(place), NEAREST))}"/>`),
    ...labels.map(({ mark, at }) => `<circle class="place" cx="${fixed(at[0])}" cy="${fixed(at[1])}" r="3"/><text class="mark" x="${fixed(at[0] + 5)}" y="${fixed(at[1] - 4)}">${escaped(mark)}</text>`),
  ])
}

/** Horizontal strokes of one shade each, from what stands foremost in every dot (depth buffer). */
function shadedRows(corners: Float64Array, frame: ViewFrame, scale: number): string[] {
  const depth = new Float64Array(WIDTH * HEIGHT).fill(-Infinity), shade = new Uint8Array(WIDTH * HEIGHT)
  for (let i = 0; i < corners.length; i += 9) paint(corners, i, frame, scale, depth, shade)
  const strokes = Array.from({ length: SHADES + 1 }, () => '')
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH;) {
      const is = shade[y * WIDTH + x]
      let end = x + 1
      while (end < WIDTH && shade[y * WIDTH + end] === is) end++
      if (is > 0) strokes[is] += `M${x} ${y}.5h${end - x}`
      x = end
    }
  }
  return strokes.flatMap((d, n) => d === '' ? [] : [`<path class="shade" stroke="${grey(n)}" d="${d}"/>`])
}

function grey(shade: number): string {
  const part = Math.round(120 + 120 * shade / SHADES)
  return `#${[part, part, Math.min(255, part + 6)].map(value => value.toString(16).padStart(2, '0')).join('')}`
}

/** One triangle into the depth buffer; its shade by how much it faces the reader, whichever side it shows. */
function paint(corners: Float64Array, at: number, frame: ViewFrame, scale: number, depth: Float64Array, shade: Uint8Array): void {
  const [a, b, c] = [0, 3, 6].map(n => {
    const [x, y, z] = seen(frame, [corners[at + n], corners[at + n + 1], corners[at + n + 2]])
    return [WIDTH / 2 + x * scale, HEIGHT / 2 - y * scale, z * scale] as const
  })
  const area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
  if (Math.abs(area) < 1e-12) return
  const gx = ((b[2] - a[2]) * (c[1] - a[1]) - (c[2] - a[2]) * (b[1] - a[1])) / area
  const gy = ((c[2] - a[2]) * (b[0] - a[0]) - (b[2] - a[2]) * (c[0] - a[0])) / area
  // The unit normal is (-gx, -gy, 1) over its length; light falls from the upper left of the reader.
  const light = Math.abs(0.35 * gx + 0.45 * gy + 0.82) / Math.hypot(gx, gy, 1)
  const tone = Math.max(1, Math.min(SHADES, Math.ceil(light * SHADES)))
  const top = Math.max(0, Math.ceil(Math.min(a[1], b[1], c[1]) - 0.5)), bottom = Math.min(HEIGHT - 1, Math.floor(Math.max(a[1], b[1], c[1]) - 0.5))
  for (let y = top; y <= bottom; y++) {
    const row = y + 0.5
    let low = Infinity, high = -Infinity
    for (const [p, q] of [[a, b], [b, c], [c, a]] as const) {
      if (p[1] <= row === q[1] <= row) continue
      const x = p[0] + (row - p[1]) / (q[1] - p[1]) * (q[0] - p[0])
      low = Math.min(low, x)
      high = Math.max(high, x)
    }
    const last = Math.min(WIDTH - 1, Math.ceil(high - 0.5) - 1)
    for (let x = Math.max(0, Math.ceil(low - 0.5)); x <= last; x++) {
      const z = a[2] + gx * (x + 0.5 - a[0]) + gy * (row - a[1]), to = y * WIDTH + x
      if (z > depth[to]) {
        depth[to] = z
        shade[to] = tone
      }
    }
  }
}
