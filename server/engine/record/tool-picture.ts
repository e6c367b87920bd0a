import type { Tool } from '../../../shared/setup.ts'
import { tipToGauge, toolPointHeight } from '../../../shared/tool-length.ts'
import { drawing, escaped, fixed, lengthWords, pathThrough } from './markup.ts'
import { toolPieces } from './tool-outline.ts'

const WIDTH = 200
const HEIGHT = 300
/** Room for the sizes at the right, and around. */
const RIGHT = 70
const EDGE = 12

/** The assembly from the side, with its heights above the tip. */
export function toolPicture(tool: Tool): string {
  const pieces = toolPieces(tool), tip = -toolPointHeight(tool), length = tipToGauge(tool)
  const widest = Math.max(...pieces.flatMap(({ points }) => points.map(([across]) => across)))
  const scale = Math.min((WIDTH - RIGHT - 2 * EDGE) / (2 * widest), (HEIGHT - 2 * EDGE) / length)
  const middle = EDGE + (WIDTH - RIGHT - 2 * EDGE) / 2, y = (above: number) => HEIGHT - EDGE - above * scale
  const body = pieces.map(({ component, points }) =>
    `<path class="tool ${component}" d="${pathThrough(points.map(([across, along]) => [middle + across * scale, y(along - tip)]), true)}"/>`)
  const axis = `<path class="axis" d="M${fixed(middle)} ${fixed(EDGE / 2)}V${HEIGHT - EDGE / 2}"/>`
  return drawing(WIDTH, HEIGHT, pictureWords(tool), [...body, axis, ...heights(tool, y, middle + widest * scale)])
}

/** Heights above the tip at which something begins, from the lowest; those too close to be read are moved apart. */
function heights(tool: Tool, y: (above: number) => number, from: number): string[] {
  let lowest = Infinity
  return namedHeights(tool).map(({ words, above }) => {
    const at = y(above), text = Math.min(Math.max(at, 10), lowest - 11)
    lowest = text
    return `<path class="size" d="M${fixed(from + 2)} ${fixed(at)}H${fixed(WIDTH - RIGHT - 4)}L${fixed(WIDTH - RIGHT + 4)} ${fixed(text)}"/><text class="size-words" x="${WIDTH - RIGHT + 6}" y="${fixed(text + 3)}">${escaped(words)}</text>`
  })
}

/** The heights above the tip, mm, that a picture names, from the lowest; one that another has already is left out. */
export function namedHeights(tool: Tool): { readonly words: string, readonly above: number }[] {
  return [
    { name: 'LCF', above: tool.cutter.LCF },
    ...tool.neck === undefined ? [] : [{ name: 'LU', above: tool.neck.LU }],
    { name: 'LPR', above: tool.LPR },
    { name: '', above: tipToGauge(tool) },
  ].filter(({ above }, n, all) => n === 0 || above > all[n - 1].above).map(({ name, above }) => ({ words: `${name} ${lengthWords(above)}`.trim(), above }))
}

/** What a picture shows, for those who cannot see it. */
export function pictureWords(tool: Tool): string {
  return `Tool ${tool.number}, ${tool.name}, from the side: ${sizeWords(tool)}`
}

/** The sizes in words, with the symbols of ISO 13399. */
export function sizeWords({ cutter, neck, shank, LPR, holder }: Tool): string {
  const degrees = (radians: number) => `${Number((radians * 180 / Math.PI).toFixed(3))}°`
  const own = cutter.shape === 'bull' ? `, RE ${lengthWords(cutter.RE)}`
    : cutter.shape === 'taper' ? `, RE ${lengthWords(cutter.RE)}, BHTA ${degrees(cutter.BHTA)}`
      : cutter.shape === 'drill' ? `, SIG ${degrees(cutter.SIG)}`
        : cutter.shape === 'lollipop' ? `, DN ${lengthWords(cutter.DN)}` : ''
  return [
    `cutter ${cutter.shape}, DC ${lengthWords(cutter.DC)}${own}, LCF ${lengthWords(cutter.LCF)}`,
    ...neck === undefined ? [] : [`neck DN ${lengthWords(neck.DN)} to LU ${lengthWords(neck.LU)}`],
    ...shank === undefined ? [] : [`shank DCONMS ${lengthWords(shank.DCONMS)}${shank.BHTA === undefined ? '' : `, BHTA ${degrees(shank.BHTA)}`}`],
    `stick-out LPR ${lengthWords(LPR)}`,
    ...holder.map(({ diameter, topDiameter, length }, n) => `holder ${n + 1}: ${lengthWords(diameter)}${topDiameter === diameter ? '' : ` to ${lengthWords(topDiameter)}`} wide, ${lengthWords(length)} long`),
  ].join('; ')
}
