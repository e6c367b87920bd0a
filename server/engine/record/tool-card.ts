import type { Tool } from '../../../shared/setup.ts'
import { tipToGauge, toolPointHeight } from '../../../shared/tool-length.ts'
import { drawing, escaped, fixed, pathThrough } from './markup.ts'
import { lineColours, toolColours } from './tool-colours.ts'
import { toolPieces } from './tool-outline.ts'
import { namedHeights, pictureWords } from './tool-picture.ts'

// Low and wide: an editor's hover shows some 250 pixels of height before it has to be scrolled, with the words below the picture.
const WIDTH = 460
const HEIGHT = 150
const EDGE = 12
/** Room for the sizes below the body. */
const BELOW = 30

/** Widest usual letter of the sizes at their height, pixels, and what is kept free between two of them. */
const LETTER = 6.6
const GAP = 8

/** Radians. A round of a picture as small as this shows no corners at it, and the picture's address stays short. */
const COARSE = Math.PI / 60

/**
 * The assembly lying on its side, the tip at the left, with its heights above the tip: a picture of its own, with its
 * colours, and on a light ground so that it can be read in front of any other.
 */
export function toolCard(tool: Tool): string {
  const pieces = toolPieces(tool, COARSE), tip = -toolPointHeight(tool)
  const widest = Math.max(...pieces.flatMap(({ points }) => points.map(([across]) => across)))
  const scale = Math.min((WIDTH - 2 * EDGE) / tipToGauge(tool), (HEIGHT - BELOW - 2 * EDGE) / (2 * widest))
  const middle = (HEIGHT - BELOW) / 2, x = (above: number) => EDGE + above * scale
  const body = pieces.map(({ component, points }) =>
    `<path class="tool ${component}" d="${pathThrough(points.map(([across, along]) => [x(along - tip), middle + across * scale]), true)}"/>`)
  const axis = `<path class="axis" d="M${EDGE / 2} ${fixed(middle)}H${fixed(x(tipToGauge(tool)) + EDGE / 2)}"/>`
  return drawing(WIDTH, HEIGHT, pictureWords(tool), [
    `<style>${[...toolColours, ...lineColours].join('')}</style>`, `<rect width="${WIDTH}" height="${HEIGHT}" rx="4" fill="#ffffff"/>`,
    ...body, axis, ...sizes(tool, x, middle + widest * scale),
  ])
}

/** Heights above the tip at which something begins, from the left; those too close to be read are moved apart, then back into the picture. */
function sizes(tool: Tool, x: (above: number) => number, from: number): string[] {
  const named = namedHeights(tool).map(({ words, above }) => ({ words, at: x(above), wide: words.length * LETTER }))
  const left: number[] = []
  let free = EDGE
  for (const { at, wide } of named) {
    left.push(Math.max(free, at - wide / 2))
    free = (left.at(-1) ?? 0) + wide + GAP
  }
  let end = WIDTH - EDGE / 2
  for (let n = named.length - 1; n >= 0; n--) {
    left[n] = Math.min(left[n] ?? 0, end - (named[n]?.wide ?? 0))
    end = (left[n] ?? 0) - GAP
  }
  const foot = HEIGHT - BELOW + 12
  return named.map(({ words, at, wide }, n) =>
    `<path class="size" d="M${fixed(at)} ${fixed(from + 2)}V${HEIGHT - BELOW}L${fixed((left[n] ?? 0) + wide / 2)} ${foot - 2}"/><text class="size-words" x="${fixed(left[n] ?? 0)}" y="${foot + 9}">${escaped(words)}</text>`)
}
