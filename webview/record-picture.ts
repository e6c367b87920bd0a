import { Room } from './geometry/room.ts'
import type { Label } from './scene/label.ts'
import { Vector3 } from './three.ts'
import type { Eye } from './scene/view-control.ts'
import { clockText, findingCounts, lengthText, statusText, unitName } from './readout.ts'
import type { LoadedScene } from './scene-loader.ts'
import type { ViewState } from './view-state.ts'
import { bodyKey, selectedFinding, showingOf } from './view-state.ts'

// A picture for a record: what the canvas shows, the words on it, and below it a caption that says
// which program, which block, what is shown and as of when. It stands by itself in a file.

/** What the caption says, line by line. `taken`: date and time in the words of the place. */
export function captionLines(state: ViewState, { motions }: Pick<LoadedScene, 'motions'>, taken: string): readonly string[] {
  const { scene, moment, pose, program } = state
  if (scene === undefined) return []
  const clock = motions === undefined || moment === undefined ? 'before the first motion' : `${clockText(motions.secondsAt(moment))} of ${clockText(motions.duration)} of the programmed time`
  const tool = pose?.tool === undefined ? undefined : scene.tools[pose.tool]
  const finding = selectedFinding(state)
  return [
    `${program}, line ${state.line + 1}${pose?.line === state.line && pose.text !== '' ? `: ${pose.text}` : ''}`,
    `${clock}${tool === undefined ? '' : `; T${tool.number} ${tool.name}`}`,
    ...finding === undefined ? [] : [`${finding.rule}: ${finding.message}`],
    `Shown: ${shownWords(state)}.`,
    `${findingCounts(scene.findings, state.status)}${state.status === undefined ? '' : `; ${statusText(state.status)}`}. Text of the program as in the editor, change ${scene.version}; picture of ${taken}.`,
    'A picture is no proof: the figures and what was not checked stand in the findings.',
  ]
}

function shownWords({ shown, scene, wake, cut, perspective }: ViewState): string {
  const words: string[] = []
  const add = (name: string, showing: string) => {
    if (showing !== 'hidden') words.push(showing === 'solid' ? name : `${name} (${showing})`)
  }
  if (scene?.part !== undefined) add(`part ${scene.part.name}`, shown.part)
  add('tool', shown.tool)
  for (const body of scene?.bodies ?? []) add(bodyKey(body), showingOf(shown, body))
  if (scene?.stock !== undefined) add('stock before the first block', showingOf(shown, 'stock'))
  words.push(shown.rapids ? 'path with rapids' : 'path without rapids')
  if (wake.kind !== 'off') words.push(wake.kind === 'behind' ? 'wake behind the tool' : 'wake of a chosen run')
  if (cut.plane !== 'off') words.push('cut open')
  words.push(perspective ? 'in perspective' : 'in parallel projection')
  return words.join(', ')
}

export interface RecordPicture {
  readonly source: HTMLCanvasElement
  readonly labels: readonly Label[]
  readonly eye: Eye
  readonly caption: readonly string[]
  /** A bar of so many CSS pixels and what it stands for, mm. */
  readonly bar: { readonly pixels: number, readonly length: number } | undefined
  readonly unit: number
  readonly colours: { readonly ground: string, readonly ink: string }
  /** Pixels for one CSS pixel. */
  readonly ratio: number
}

/** The picture as PNG. Must be called in the same turn in which the source was drawn. */
export function recordPicture({ source, labels, eye, caption, bar, unit, colours, ratio }: RecordPicture): Promise<Uint8Array> {
  const size = 13 * ratio, row = size * 1.45, margin = 12 * ratio
  const canvas = document.createElement('canvas')
  canvas.width = source.width
  const pen = canvas.getContext('2d')
  if (pen === null) throw new Error('The window gives no canvas to put a picture together on.')
  pen.font = `${size}px sans-serif`
  const lines = caption.flatMap(line => wrapped(line, canvas.width - 2 * margin, words => pen.measureText(words).width))
  canvas.height = source.height + Math.ceil(lines.length * row + 2 * margin)
  pen.fillStyle = colours.ground
  pen.fillRect(0, 0, canvas.width, canvas.height)
  pen.drawImage(source, 0, 0)
  pen.font = `${size}px sans-serif`
  pen.textBaseline = 'middle'
  const place = new Vector3(), room = new Room()
  for (const { text, point, kind } of labels) {
    place.set(...point).project(eye)
    if (Math.abs(place.x) > 1 || Math.abs(place.y) > 1) continue
    const x = (place.x + 1) / 2 * source.width + 12 * ratio, y = (1 - place.y) / 2 * source.height
    const ground = { x: x - 3 * ratio, y: y - row / 2, width: pen.measureText(text).width + 6 * ratio, height: row }
    if (kind === 'figure' && !room.take(ground)) continue
    pen.fillStyle = colours.ground
    pen.fillRect(ground.x, ground.y, ground.width, ground.height)
    pen.fillStyle = colours.ink
    pen.fillText(text, x, y)
  }
  pen.fillStyle = colours.ink
  if (bar !== undefined) {
    const y = source.height - 2 * margin
    pen.fillRect(margin, y, bar.pixels * ratio, 2 * ratio)
    pen.fillText(`${lengthText(bar.length * unit, unit).replace(/\.?0+$/, '')} ${unitName(unit)}`, margin, y - row / 2)
  }
  pen.fillRect(0, source.height, canvas.width, ratio)
  for (const [i, line] of lines.entries()) pen.fillText(line, margin, source.height + margin + (i + 0.5) * row)
  return new Promise((resolve, reject) => canvas.toBlob(blob => {
    if (blob === null) reject(new Error('The window could not make a PNG of the picture.'))
    else blob.arrayBuffer().then(buffer => resolve(new Uint8Array(buffer)), reject)
  }, 'image/png'))
}

/** Breaks a line between words so that each piece is no wider than `room`; a single word may be. */
export function wrapped(line: string, room: number, widthOf: (words: string) => number): string[] {
  const rows: string[] = []
  let row = ''
  for (const word of line.split(' ')) {
    const longer = row === '' ? word : `${row} ${word}`
    if (row !== '' && widthOf(longer) > room) {
      rows.push(row)
      row = word
    } else {
      row = longer
    }
  }
  return [...rows, row]
}
