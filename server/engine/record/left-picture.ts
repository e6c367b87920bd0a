import { scaleColour, scales, shareOf } from '../../../shared/colour-scale.ts'
import { leftScale, type AllowedOnPart } from '../../../shared/left-scale.ts'
import type { Triple } from '../../../shared/setup.ts'
import { drawDepths, fitted, inRaster, SHADES, type Raster } from './depth-buffer.ts'
import { drawing, fixed } from './markup.ts'
import { placeMarks } from './place-marks.ts'
import { colourName, toneRows } from './tone-rows.ts'
import { middleOf, viewFrom } from './view-frame.ts'

/** What is left on a part, at points of its surface: mm, part frame. */
export interface LeftToDraw {
  readonly corners: Float64Array
  /** Three numbers a point. */
  readonly points: Float64Array
  /** Unit vectors out of the material. */
  readonly normals: Float32Array
  /** Surface that each point stands for, mm². */
  readonly areas: Float32Array
  /** Above 0 material stands, below 0 it is cut too deep; NaN where nobody knows. */
  readonly heights: Float32Array
  readonly allowed: AllowedOnPart
  readonly marks: readonly { readonly mark: string, readonly point: Triple }[]
}

/** The picture, how its views are called, and which share of the measured surface one of them shows. */
export interface LeftPicture {
  readonly drawing: string
  readonly views: readonly string[]
  readonly shown: number
}

interface View { readonly name: string, readonly toward: Triple }

/** The views that are tried. */
const VIEWS: readonly View[] = [
  { name: 'from above', toward: [0, 0, 1] },
  { name: 'from the front right and above', toward: [0.55, -0.75, 0.6] },
  { name: 'from the front left and above', toward: [-0.55, -0.75, 0.6] },
  { name: 'from the back right and above', toward: [0.55, 0.75, 0.6] },
  { name: 'from the back left and above', toward: [-0.55, 0.75, 0.6] },
  { name: 'from the front', toward: [0, -1, 0] },
  { name: 'from the back', toward: [0, 1, 0] },
  { name: 'from the right', toward: [1, 0, 0] },
  { name: 'from the left', toward: [-1, 0, 0] },
  { name: 'from below', toward: [0, 0, -1] },
  { name: 'from the front right and below', toward: [0.55, -0.75, -0.6] },
  { name: 'from the back left and below', toward: [-0.55, 0.75, -0.6] },
]
const MOST_VIEWS = 2
/** A further view must show at least this share of the measured surface that the first does not. */
const WORTH_SHOWING = 0.01

/** Picture units: of a picture with one view, of the gap between two, and dots to a unit. */
const WIDTH = 640
const HEIGHT = 400
const GAP = 12
const FINER = 2
/** Dots of a side in which it is found out what a view shows. */
const COARSE = 150
/** Points of measure by which views are judged, about: more would say the same. */
const MOST_JUDGED = 50_000
/** Share of the measured box that is shown about it on either side. */
const AROUND = 0.15

/** Steps of the scale, an odd number: the middle one is the surface itself. */
const STEPS = 17
/** The tones of a view: 1 to `STEPS` the scale, then the shades of what was not measured, then the lines over it. */
const LINE_TONE = STEPS + SHADES + 1
/** Every so many rows of dots a line over what was not measured. */
const HATCH = 6

/** Cosine. Surface that stands more edge-on than this is not drawn. */
const LEAST_FACING = 0.1
/** Half a side of a point's square, of the square that has its surface: more than half, so that slanting and long ones leave no gaps. */
const SPREAD = 0.75
/** Dots from a point of measure that show its colour, at most. */
const MOST_REACH = 12

/**
 * Colours of what is left over the part, also where the part would hide it, from where most of it can be seen; undefined
 * where nothing was measured.
 */
export function leftPicture(left: LeftToDraw): LeftPicture | undefined {
  const box = measuredBox(left), { views, shown } = bestViews(someOf(left), box)
  if (views.length === 0) return undefined
  const names = views.map(({ name }) => name), range = leftScale(left.allowed)
  const width = views.length === 1 ? WIDTH : (WIDTH - GAP) / 2, height = Math.min(width, HEIGHT)
  const words = `The part ${names.join(' and ')}, coloured by what is left on it: from ${range.low.toFixed(3)} mm, cut below the surface, by 0 to ${range.high.toFixed(3)} mm, left standing.`
  return {
    drawing: drawing(WIDTH, height + 78, words, [
      ...views.flatMap((view, n) => panel(left, rasterOf(view, box, width * FINER, height * FINER), n * (width + GAP))),
      ...legend(left.allowed, height + 28),
    ]),
    views: names, shown,
  }
}

/** Every so manieth point where something is known, with the surface of those left out about it. */
function someOf(left: LeftToDraw): LeftToDraw {
  const known = Uint32Array.from(left.heights.keys()).filter(i => !Number.isNaN(left.heights[i])), step = Math.ceil(known.length / MOST_JUDGED)
  if (step <= 1) return left
  const taken = known.filter((_, n) => n % step === 0), ofPoints = (i: number) => [i * 3, i * 3 + 1, i * 3 + 2]
  return {
    ...left,
    points: Float64Array.from([...taken].flatMap(ofPoints), at => left.points[at]),
    normals: Float32Array.from([...taken].flatMap(ofPoints), at => left.normals[at]),
    areas: Float32Array.from(taken, i => left.areas[i] * step),
    heights: Float32Array.from(taken, i => left.heights[i]),
  }
}

interface Box { readonly min: Triple, readonly max: Triple }

function measuredBox({ points, heights }: LeftToDraw): Box {
  const min: [number, number, number] = [Infinity, Infinity, Infinity], max: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  for (let i = 0; i < heights.length; i++) {
    if (Number.isNaN(heights[i])) continue
    for (const k of [0, 1, 2] as const) {
      min[k] = Math.min(min[k], points[i * 3 + k])
      max[k] = Math.max(max[k], points[i * 3 + k])
    }
  }
  return { min, max }
}

function rasterOf({ toward }: View, { min, max }: Box, width: number, height: number): Raster {
  return fitted(viewFrom(middleOf(min, max), toward), min, max, width, height, AROUND * Math.min(width, height))
}

/** The view that shows most of what was measured, then the one that shows most of the rest. */
function bestViews(left: LeftToDraw, box: Box): { readonly views: readonly View[], readonly shown: number } {
  const { heights, areas } = left, chosen: View[] = [], seen = new Uint8Array(heights.length)
  const measured = heights.reduce((sum, height, i) => Number.isNaN(height) ? sum : sum + areas[i], 0)
  const candidates = VIEWS.map(view => {
    const sees = new Uint8Array(heights.length)
    eachSeen(left, rasterOf(view, box, COARSE, COARSE), i => { sees[i] = 1 })
    return { view, sees }
  })
  let shown = 0
  while (chosen.length < MOST_VIEWS) {
    const gains = candidates.map(({ sees }) => sees.reduce((sum, one, i) => one > seen[i] ? sum + areas[i] : sum, 0))
    const most = Math.max(...gains), best = candidates[gains.indexOf(most)]
    if (!(most > WORTH_SHOWING * measured)) break
    best.sees.forEach((one, i) => { if (one > 0) seen[i] = 1 })
    chosen.push(best.view)
    shown += most / measured
  }
  return { views: chosen, shown: Math.min(1, shown) }
}

/** A point of measure on a view: its dot, its depth, the dots about it that stand for its surface, and how much the depth may change over them. */
interface SeenPoint { readonly x: number, readonly y: number, readonly z: number, readonly reach: number, readonly fall: number }

function seenPoint({ points, normals, areas, heights }: LeftToDraw, i: number, raster: Raster): SeenPoint | undefined {
  if (Number.isNaN(heights[i])) return undefined
  const at = i * 3, { toward } = raster.frame
  const facing = Math.min(1, normals[at] * toward[0] + normals[at + 1] * toward[1] + normals[at + 2] * toward[2])
  if (facing < LEAST_FACING) return undefined
  const [across, down, z] = inRaster(raster, [points[at], points[at + 1], points[at + 2]])
  const x = Math.floor(across), y = Math.floor(down)
  if (x < 0 || x >= raster.width || y < 0 || y >= raster.height) return undefined
  const reach = Math.min(MOST_REACH, Math.ceil(SPREAD * Math.sqrt(areas[i]) * raster.scale))
  return { x, y, z, reach, fall: 1 + (reach + 1) * Math.sqrt(1 - facing ** 2) / facing }
}

/** Visits the points of measure that no other one hides. */
function eachSeen(left: LeftToDraw, raster: Raster, visit: (i: number, point: SeenPoint) => void): void {
  const front = new Float32Array(raster.width * raster.height).fill(-Infinity), found: { readonly i: number, readonly point: SeenPoint }[] = []
  for (let i = 0; i < left.heights.length; i++) {
    const point = seenPoint(left, i, raster)
    if (point === undefined) continue
    found.push({ i, point })
    eachDot(point, raster, dot => { front[dot] = Math.max(front[dot], point.z) })
  }
  for (const { i, point } of found) if (point.z >= front[point.y * raster.width + point.x] - 2 * point.fall) visit(i, point)
}

function eachDot({ x, y, reach }: SeenPoint, { width, height }: Raster, visit: (dot: number) => void): void {
  for (let row = Math.max(0, y - reach); row <= Math.min(height - 1, y + reach); row++) {
    for (let dot = row * width + Math.max(0, x - reach); dot <= row * width + Math.min(width - 1, x + reach); dot++) visit(dot)
  }
}

/** One view: light grey with lines where nothing was measured; of several points within a dot the one that matters most. */
function panel(left: LeftToDraw, raster: Raster, at: number): string[] {
  const { width, height } = raster, range = leftScale(left.allowed), [deepest] = range.limits
  const part = drawDepths(left.corners, raster)
  const tones = Uint8Array.from(part.shade, (shade, dot) => shade === 0 ? 0 : Math.floor(dot / width) % HATCH === 0 ? LINE_TONE : STEPS + shade)
  const weights = new Float32Array(tones.length).fill(-1)
  const rings = left.marks.map(({ mark, point }) => ({ mark, spot: inRaster(raster, point), isSeen: false }))
  eachSeen(left, raster, (i, point) => {
    const share = shareOf(left.heights[i], range), weight = Math.abs(share - 0.5) + (left.heights[i] < deepest ? 1 : 0)
    const tone = 1 + Math.round(share * (STEPS - 1))
    eachDot(point, raster, dot => {
      if (part.shade[dot] === 0 || weight <= weights[dot]) return
      weights[dot] = weight
      tones[dot] = tone
    })
    for (const ring of rings) ring.isSeen ||= Math.hypot(ring.spot[0] - point.x - 0.5, ring.spot[1] - point.y - 0.5, ring.spot[2] - point.z) < 1
  })
  const marks = rings.filter(({ isSeen }) => isSeen).map(({ mark, spot: [x, y] }) => ({ mark, at: [at + x / FINER, y / FINER] as const }))
  return [
    `<g transform="translate(${at} 0) scale(${1 / FINER})">`, ...toneRows(tones, width, colourOf), '</g>',
    ...placeMarks(marks, { left: at, width: width / FINER, height: height / FINER }),
    `<rect class="frame" x="${at + 0.5}" y="0.5" width="${width / FINER - 1}" height="${height / FINER - 1}"/>`,
  ]
}

function colourOf(tone: number): string {
  if (tone <= STEPS) return colourName(scaleColour(scales.sides, (tone - 1) / (STEPS - 1)))
  const grey = tone === LINE_TONE ? 0.7 : 0.84 + 0.14 * (tone - STEPS) / SHADES
  return colourName([grey, grey, grey])
}

/** The steps of the scale with their figures, and the sheet's limits at marks. */
function legend(allowed: AllowedOnPart, top: number): string[] {
  const range = leftScale(allowed), [deepest, tallest] = range.limits, bar = WIDTH * 0.7, from = (WIDTH - bar) / 2, step = bar / STEPS
  const at = (figure: number) => from + step / 2 + shareOf(figure, range) * (bar - step), mm = (figure: number) => `${figure.toFixed(3).replace('-', '−')} mm`
  const word = (x: number, y: number, anchor: string, text: string) => `<text x="${fixed(x)}" y="${y}" text-anchor="${anchor}">${text}</text>`
  return [
    ...Array.from({ length: STEPS }, (_, n) => `<rect x="${fixed(from + n * step)}" y="${top}" width="${fixed(step)}" height="12" fill="${colourOf(n + 1)}"/>`),
    ...[deepest, tallest].map(limit => `<path class="limit" d="M${fixed(at(limit))} ${top - 5}V${top + 12}"/>`),
    word(at(deepest) - 4, top - 4, 'end', `deepest cut allowed ${mm(deepest)}`), word(at(tallest) + 4, top - 4, 'start', `most that may stand ${mm(tallest)}`),
    word(from, top + 25, 'start', `${mm(range.low)} and deeper`), word(at(0), top + 25, 'middle', '0'), word(from + bar, top + 25, 'end', `${mm(range.high)} and more`),
    word(from, top + 40, 'start', 'cut below the surface'), word(from + bar, top + 40, 'end', 'left standing'),
  ]
}
