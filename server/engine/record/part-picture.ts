import type { Triple } from '../../../shared/setup.ts'
import { drawDepths, fitted, inRaster, SHADES } from './depth-buffer.ts'
import { drawing, pathThrough } from './markup.ts'
import type { SectionPoint } from './mesh-section.ts'
import { placeMarks } from './place-marks.ts'
import { colourName, toneRows } from './tone-rows.ts'
import { middleOf, viewFrom } from './view-frame.ts'
import { thinned } from './window.ts'

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
/** Dots of the way nearer than this to the last one are left out. */
const NEAREST = 0.5

/** The part with light and shade from the front right and above, the tool point's way over it, and numbered places. */
export function partPicture({ name, corners, min, max, runs, marks }: PartToDraw): string {
  const buffer = drawDepths(corners, fitted(viewFrom(middleOf(min, max), [0.55, -0.75, 0.6]), min, max, WIDTH, HEIGHT, EDGE))
  const place = (point: Triple): SectionPoint => {
    const [x, y] = inRaster(buffer, point)
    return [x, y]
  }
  return drawing(WIDTH, HEIGHT, `${name} from the front right and above, with the way of the tool point${marks.length === 0 ? '' : ` and the places of the findings ${marks.map(({ mark }) => mark).join(', ')}`}.`, [
    ...toneRows(buffer.shade, WIDTH, grey),
    ...runs.map(({ rapid, points }) => `<path class="${rapid ? 'rapid' : 'way'}" d="${pathThrough(thinned(points.map(place), NEAREST))}"/>`),
    ...placeMarks(marks.map(({ mark, point }) => ({ mark, at: place(point) })), { width: WIDTH, height: HEIGHT }),
  ])
}

function grey(shade: number): string {
  const part = Math.round(120 + 120 * shade / SHADES)
  return colourName([part / 255, part / 255, (part + 6) / 255])
}
