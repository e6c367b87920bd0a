import type { ActionName } from './actions.ts'
import { actionOf } from './actions.ts'
import type { ViewControl } from './scene/view-control.ts'

export interface PictureEvents {
  /** A click, or Enter while something is measured: CSS pixels from the upper left of the canvas. */
  readonly pressed: (x: number, y: number) => void
  /** The view has been moved by a key. */
  readonly moved: () => void
  readonly act: (name: ActionName) => void
  readonly isMeasuring: () => boolean
}

/** A press that moves farther than this turns the view and chooses nothing. CSS pixels. */
const STILL = 4
const TURN = Math.PI / 24
const MOVE = 40

/** Mouse, pen and keys on the picture, beyond turning and moving it by hand. */
export function handlePicture(canvas: HTMLCanvasElement, view: ViewControl, events: PictureEvents): void {
  let pressed: { readonly x: number, readonly y: number } | undefined
  canvas.addEventListener('pointerdown', event => {
    pressed = event.button === 0 && event.isPrimary ? { x: event.clientX, y: event.clientY } : undefined
    canvas.focus({ preventScroll: true })
  })
  canvas.addEventListener('pointerup', event => {
    const from = pressed
    pressed = undefined
    if (from === undefined || Math.hypot(event.clientX - from.x, event.clientY - from.y) > STILL) return
    const frame = canvas.getBoundingClientRect()
    events.pressed(event.clientX - frame.left, event.clientY - frame.top)
  })
  canvas.addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey) return
    const move = moves(view, event.shiftKey)[event.key]
    const action = actionOf(event)
    if (move !== undefined) {
      move()
      events.moved()
    } else if (event.key === 'Enter' && events.isMeasuring()) {
      events.pressed(canvas.clientWidth / 2, canvas.clientHeight / 2)
    } else if (action !== undefined) {
      events.act(action)
    } else {
      return
    }
    event.preventDefault()
  })
}

function moves(view: ViewControl, shift: boolean): Readonly<Record<string, () => void>> {
  const arrow = (right: number, up: number) => () => shift ? view.pan(right * MOVE, up * MOVE) : view.orbit(right * TURN, up * TURN)
  return {
    'ArrowLeft': arrow(-1, 0),
    'ArrowRight': arrow(1, 0),
    'ArrowUp': arrow(0, 1),
    'ArrowDown': arrow(0, -1),
    '+': () => view.zoom(1.25),
    '=': () => view.zoom(1.25),
    '-': () => view.zoom(0.8),
  }
}
