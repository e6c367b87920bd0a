import type { Lane } from '../geometry/lanes.ts'
import type { MotionTable } from '../geometry/motion-table.ts'
import { bent, ticksOf } from '../geometry/strip-scale.ts'
import type { Window } from '../geometry/strip-scale.ts'
import { inLaneUnit } from '../lane-words.ts'
import type { Palette } from '../theme.ts'
import type { ViewState } from '../view-state.ts'

/** Room for names and figures at the left of the lanes, CSS pixels. */
export const GUTTER = 96
const PADDING = 4
const TICK = 5

/** A strip narrower than this stands below a narrow picture, which needs the height more. CSS pixels. */
const NARROW = 620

export function laneHeight(lanes: number, width: number): number {
  const height = lanes <= 2 ? 56 : lanes <= 4 ? 32 : 24
  return width < NARROW ? height * 0.65 : height
}

export interface StripInput {
  readonly lanes: readonly Lane[]
  readonly window: Window
  readonly motions: MotionTable
  readonly state: ViewState
  readonly palette: Palette
}

interface Lay { readonly top: number, readonly bottom: number, readonly low: number, readonly high: number }

/** Draws all lanes: a column of pixels shows the least and greatest figure of its motions. */
export function drawStrip(canvas: HTMLCanvasElement, input: StripInput): void {
  const ratio = window.devicePixelRatio
  const width = canvas.clientWidth, height = canvas.clientHeight
  if (width <= GUTTER || height < 1) return
  canvas.width = Math.round(width * ratio)
  canvas.height = Math.round(height * ratio)
  const pen = canvas.getContext('2d')
  if (pen === null) return
  pen.setTransform(ratio, 0, 0, ratio, 0, 0)
  const style = getComputedStyle(canvas)
  const foreground = style.color
  pen.font = `11px ${style.fontFamily}`
  pen.textBaseline = 'middle'
  const row = height / Math.max(1, input.lanes.length)
  for (const [i, lane] of input.lanes.entries()) {
    drawLane(pen, lane, i * row, row, width, input, foreground)
  }
  drawFindings(pen, width, height, input)
  drawNow(pen, width, height, input)
}

function drawLane(pen: CanvasRenderingContext2D, lane: Lane, top: number, row: number, width: number, input: StripInput, foreground: string): void {
  const { window: { from, to }, state, palette } = input
  const lay = layOf(lane, top + PADDING, top + row - PADDING, input)
  const unit = state.scene?.unit ?? 1
  pen.fillStyle = foreground
  pen.globalAlpha = 0.25
  pen.fillRect(GUTTER, top + row - 0.5, width - GUTTER, 0.5)
  pen.globalAlpha = 0.75
  const text = (words: string, x: number, y: number, align: CanvasTextAlign) => {
    pen.textAlign = align
    pen.fillText(words, x, y)
  }
  text(lane.label, 6, top + row / 2, 'left')
  if (lay === undefined) {
    text('not known', GUTTER + 6, top + row / 2, 'left')
    pen.globalAlpha = 1
    return
  }
  const ticks = ticksOf(inLaneUnit(lay.low, lane.dimension, unit), inLaneUnit(lay.high, lane.dimension, unit), lane.scale)
  let last = Infinity
  for (const tick of ticks) {
    const y = heightOf(tick / inLaneUnit(1, lane.dimension, unit), lane, lay)
    if (last - y < 11 || y < top + 5) continue
    last = y
    text(tickText(tick), GUTTER - 6, y, 'right')
    pen.globalAlpha = 0.14
    pen.fillRect(GUTTER, y - 0.25, width - GUTTER, 0.5)
    pen.globalAlpha = 0.75
  }
  pen.globalAlpha = 1
  const perPixel = (to - from) / (width - GUTTER)
  const columns = (draw: (x: number, first: number, end: number) => void) => {
    for (let x = 0; x < width - GUTTER; x++) {
      const first = Math.floor(from + x * perPixel), end = Math.max(first, Math.ceil(from + (x + 1) * perPixel) - 1)
      draw(GUTTER + x, first, Math.min(end, input.motions.count - 1))
    }
  }
  pen.fillStyle = palette.cutting
  columns((x, first, end) => {
    const extent = lane.series.extent(first, end)
    if (extent === undefined) return
    const a = heightOf(extent[1], lane, lay), b = heightOf(extent[0], lane, lay)
    pen.fillRect(x, a - 0.6, 1, Math.max(1.2, b - a + 1.2))
  })
  if (lane.second !== undefined) {
    const { second } = lane
    pen.fillStyle = palette.rapid
    columns((x, first, end) => {
      const extent = second.extent(first, end)
      if (extent !== undefined && x % 6 < 3) pen.fillRect(x, heightOf(extent[1], lane, lay) - 0.75, 1, 1.5)
    })
  }
  pen.fillStyle = palette.error
  for (const limit of lane.limits ?? []) {
    if (limit >= lay.low && limit <= lay.high) for (let x = GUTTER; x < width; x += 7) pen.fillRect(x, heightOf(limit, lane, lay) - 0.5, 4, 1)
  }
  const { limitAt } = lane
  if (limitAt !== undefined) columns((x, first) => {
    const limit = limitAt(first)
    if (limit !== undefined && x % 7 < 4 && limit >= lay.low && limit <= lay.high) pen.fillRect(x, heightOf(limit, lane, lay) - 0.5, 1, 1)
  })
}

/** What the lane reaches over in the window, limits that are near among it. Undefined where no figure is known. */
function layOf(lane: Lane, top: number, bottom: number, { window: { from, to }, motions }: StripInput): Lay | undefined {
  const first = Math.floor(from), last = Math.min(motions.count, Math.ceil(to)) - 1
  const own = lane.series.extent(first, last), second = lane.second?.extent(first, last)
  if (own === undefined && second === undefined) return undefined
  let low = Math.min(own?.[0] ?? Infinity, second?.[0] ?? Infinity), high = Math.max(own?.[1] ?? -Infinity, second?.[1] ?? -Infinity)
  const limits = [...lane.limits ?? [], ...limitsIn(lane, first, last)]
  // What counts lies about the limit of feed motion; what is far from it is drawn at the upper edge, beyond the search or not.
  if (lane.scale === 'near') {
    const least = Math.min(...limits.map(Math.abs), 1)
    low = Math.min(low, -0.01)
    high = Math.min(high, Math.max(0.1, 5 * least))
    return { top, bottom, low, high: Math.max(high, low + 0.01) }
  }
  for (const limit of limits) {
    // One that is far off would press the figures flat.
    if (Math.abs(limit) > 3 * Math.max(Math.abs(low), Math.abs(high))) continue
    low = Math.min(low, limit)
    high = Math.max(high, limit)
  }
  if (lane.dimension !== 'length' && lane.dimension !== 'angle') low = Math.min(0, low)
  if (!(high - low > 1e-9)) {
    low -= 0.5
    high += 0.5
  }
  return { top, bottom, low, high }
}

/** The limits at a few motions of the window. */
function limitsIn({ limitAt }: Lane, first: number, last: number): number[] {
  if (limitAt === undefined) return []
  return Array.from({ length: 17 }, (_, i) => limitAt(first + Math.round((last - first) * i / 16))).filter(limit => limit !== undefined)
}

function heightOf(value: number, { scale }: Lane, { top, bottom, low, high }: Lay): number {
  const share = (bent(Math.min(high, Math.max(low, value)), scale) - bent(low, scale)) / (bent(high, scale) - bent(low, scale))
  return bottom - share * (bottom - top)
}

function tickText(tick: number): string {
  return String(Number(tick.toPrecision(6)))
}

/** Signs at the upper edge: an error a square on its corner, a warning a triangle, a note a disc, as on the part. */
function drawFindings(pen: CanvasRenderingContext2D, width: number, height: number, { window: { from, to }, motions, state, palette }: StripInput): void {
  for (const [index, { line, level }] of (state.scene?.findings ?? []).entries()) {
    const moment = motions.momentAfterLine(line)
    if (moment === undefined || motions.path.line[moment.motion] !== line) continue
    const x = GUTTER + (moment.motion + 0.5 - from) / (to - from) * (width - GUTTER)
    if (x < GUTTER || x > width) continue
    const isSelected = index === state.finding
    pen.fillStyle = pen.strokeStyle = palette[level]
    pen.globalAlpha = isSelected ? 0.9 : 0.4
    pen.fillRect(x - 0.5, 0, 1, height)
    pen.globalAlpha = 1
    pen.beginPath()
    if (level === 'error') for (const [dx, dy] of [[0, -TICK], [TICK, 0], [0, TICK], [-TICK, 0]] as const) pen.lineTo(x + dx, TICK + dy)
    else if (level === 'warning') for (const [dx, dy] of [[0, -TICK], [TICK, TICK], [-TICK, TICK]] as const) pen.lineTo(x + dx, TICK + dy)
    else pen.arc(x, TICK, TICK - 1, 0, 2 * Math.PI)
    pen.closePath()
    pen.fill()
    if (isSelected) pen.strokeRect(x - TICK - 2, 0.5, 2 * TICK + 4, 2 * TICK + 1)
  }
}

function drawNow(pen: CanvasRenderingContext2D, width: number, height: number, { window: { from, to }, state: { moment }, palette }: StripInput): void {
  if (moment === undefined) return
  const x = GUTTER + (moment.motion + moment.t - from) / (to - from) * (width - GUTTER)
  if (x < GUTTER || x > width) return
  pen.fillStyle = palette.current
  pen.fillRect(x - 1, 0, 2, height)
}
