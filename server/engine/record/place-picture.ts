import type { ContactProperties } from '../../../shared/finding.ts'
import type { Tool, Triple } from '../../../shared/setup.ts'
import { drawing, fixed, pathThrough } from './markup.ts'
import { sectionOf, type SectionLine, type SectionPoint } from './mesh-section.ts'
import { toolPieces, type ToolPiece } from './tool-outline.ts'
import { planeOfTool, seen, type ViewFrame } from './view-frame.ts'
import { clipped, inPicture, scaleBar, type Window } from './window.ts'

/** One moment of a program to draw: mm, part frame. */
export interface PlaceToDraw {
  readonly contact: ContactProperties
  readonly tool: Tool
  /** 9 numbers a triangle of the body that is touched. */
  readonly corners: Float64Array
  /** The tool point's way before and after. */
  readonly path: readonly Triple[]
  /** Which way the tool goes there; which side is shown where the place lies on the axis. */
  readonly way: Triple
}

const SIDE = 300
const GAP = 10
/** The closer look shows this many times the depth or the gap. */
const CLOSER = 12

/** The tool and the body cut open by the plane through the tool's axis and the place: the whole of it, and a closer look. */
export function placePicture({ contact, tool, corners, path, way }: PlaceToDraw): string {
  const frame = planeOfTool(contact.toolPoint, contact.toolAxis, contact.point, way)
  const section = sectionOf(corners, frame), pieces = toolPieces(tool), place = onPlane(frame, contact.point)
  const distance = Math.abs(contact.depth ?? contact.clearance ?? 0)
  const around: Window = { middle: [0, place[1] / 2 + tool.cutter.DC / 2], size: Math.max(3 * tool.cutter.DC, 2.2 * Math.abs(place[0]), 1.5 * Math.abs(place[1])), left: 0, side: SIDE }
  const closer: Window = { middle: place, size: Math.max(CLOSER * distance, CLOSER * contact.bound, tool.cutter.DC / 500), left: SIDE + GAP, side: SIDE }
  const figure = contact.depth === undefined ? `${(contact.clearance ?? 0).toFixed(3)} mm clear` : `${contact.depth.toFixed(3)} mm deep`
  const words = `Section through the axis of tool ${tool.number} at line ${contact.worstLine}: ${contact.component} against ${contact.against}, ${figure}; on the left as a whole, on the right ${fixed(closer.size)} mm from side to side.`
  const route = path.map(point => onPlane(frame, point))
  return drawing(2 * SIDE + GAP, SIDE, words, [
    ...panel(around, section, pieces, [{ points: route, closed: false }], place, 'a'),
    ...panel(closer, section, pieces, [{ points: route, closed: false }], place, 'b'),
  ])
}

function panel(window: Window, section: readonly SectionLine[], pieces: readonly ToolPiece[], route: readonly SectionLine[], place: SectionPoint, name: string): string[] {
  const { left, side } = window
  const area = section.filter(({ closed }) => closed).flatMap(line => clipped(line, window)).map(({ points }) => pathThrough(points, true)).join('')
  const open = section.filter(({ closed }) => !closed).flatMap(line => clipped(line, window)).map(({ points }) => pathThrough(points)).join('')
  const [x, y] = inPicture(window, place)
  return [
    // A view of its own cuts off what lies beside the panel.
    `<svg x="${left}" y="0" width="${side}" height="${side}" viewBox="${left} 0 ${side} ${side}" class="panel-${name}">`,
    `<rect class="ground" x="${left}" y="0" width="${side}" height="${side}"/>`,
    area === '' ? '' : `<path class="body" fill-rule="evenodd" d="${area}"/>`,
    open === '' ? '' : `<path class="body-line" d="${open}"/>`,
    ...pieces.flatMap(({ component, points }) => clipped({ points, closed: true }, window).map(({ points: shown }) => `<path class="tool ${component}" d="${pathThrough(shown, true)}"/>`)),
    ...route.flatMap(line => clipped(line, window)).map(({ points }) => `<path class="way" d="${pathThrough(points)}"/>`),
    `<circle class="place" cx="${fixed(x)}" cy="${fixed(y)}" r="5"/>`,
    scaleBar(window),
    `<rect class="frame" x="${left + 0.5}" y="0.5" width="${side - 1}" height="${side - 1}"/>`,
    '</svg>',
  ]
}

function onPlane(frame: ViewFrame, point: Triple): SectionPoint {
  const [across, along] = seen(frame, point)
  return [across, along]
}
