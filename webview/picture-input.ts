import type { Hit, Stage } from './scene/stage.ts'
import type { View } from './scene/view-control.ts'
import type { Shown } from './view-state.ts'

export interface PictureEvents {
  readonly hit: (hit: Hit) => void
  readonly look: (view: View | 'all' | 'tool') => void
  readonly step: (direction: 1 | -1) => void
  readonly toggle: (what: keyof Shown) => void
}

/** A press that moves farther than this turns the view and chooses nothing. CSS pixels. */
const STILL = 4
const TURN = Math.PI / 24
const MOVE = 40

/** Mouse, pen and keys on the picture, beyond turning and moving it by hand. */
export function handlePicture(canvas: HTMLCanvasElement, stage: Stage, events: PictureEvents): void {
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
    const hit = stage.hit(event.clientX - frame.left, event.clientY - frame.top)
    if (hit !== undefined) events.hit(hit)
  })
  canvas.addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey) return
    const act = keys(stage, events, event.shiftKey)[event.key.length === 1 ? event.key.toLowerCase() : event.key]
    if (act === undefined) return
    event.preventDefault()
    act()
    stage.request()
  })
}

function keys(stage: Stage, events: PictureEvents, shift: boolean): Readonly<Record<string, () => void>> {
  const { view } = stage
  const arrow = (right: number, up: number) => () => shift ? view.pan(right * MOVE, up * MOVE) : view.orbit(right * TURN, up * TURN)
  return {
    'ArrowLeft': arrow(-1, 0),
    'ArrowRight': arrow(1, 0),
    'ArrowUp': arrow(0, 1),
    'ArrowDown': arrow(0, -1),
    '+': () => view.zoom(1.25),
    '=': () => view.zoom(1.25),
    '-': () => view.zoom(0.8),
    'PageUp': () => events.step(-1),
    'PageDown': () => events.step(1),
    'f': () => events.look('all'),
    '1': () => events.look('corner'),
    '2': () => events.look('top'),
    '3': () => events.look('front'),
    '4': () => events.look('right'),
    't': () => events.look('tool'),
    'p': () => events.toggle('part'),
    'a': () => events.toggle('tool'),
    'r': () => events.toggle('rapids'),
    'm': () => events.toggle('findings'),
  }
}
