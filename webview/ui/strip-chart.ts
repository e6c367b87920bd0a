import type { Lane, Quantity } from '../geometry/lanes.ts'
import { lanesOf, quantities } from '../geometry/lanes.ts'
import type { Window } from '../geometry/strip-scale.ts'
import { holding, shifted, zoomed } from '../geometry/strip-scale.ts'
import { laneFigure, quantityName } from '../lane-words.ts'
import type { LoadedScene } from '../scene-loader.ts'
import type { Palette } from '../theme.ts'
import type { ViewState } from '../view-state.ts'
import { element } from './element.ts'
import { drawStrip, GUTTER, laneHeight } from './strip-picture.ts'

export interface StripEvents {
  readonly quantity: (quantity: Quantity) => void
  /** A motion was chosen by a click or a key. */
  readonly chosen: (motion: number) => void
}

const ZOOM = 1.5

/** The figures of every block along the program, below the picture. Drawn when something has changed. */
export class StripChart {
  readonly object: HTMLElement
  readonly #canvas = element('canvas', { class: 'lanes', attributes: { tabindex: '0', role: 'slider', 'aria-label': 'Strip of the program, block by block', 'aria-valuemin': '1' } })
  readonly #select = element('select', { attributes: { 'aria-label': 'What the strip shows' } })
  // Not read aloud as the program runs: the strip tells it to whoever stands on it, and the block is read aloud beside the picture.
  readonly #figure = element('p', { class: 'figure' })
  readonly #events: StripEvents
  #loaded: LoadedScene | undefined
  #lanes: readonly Lane[] = []
  #lanesKey: readonly unknown[] = []
  #window: Window = { from: 0, to: 1 }
  #state: ViewState | undefined
  #palette: Palette | undefined
  #wanted = false
  #hovered: number | undefined

  constructor(events: StripEvents) {
    this.#events = events
    for (const quantity of quantities) this.#select.append(element('option', { text: quantityName(quantity), attributes: { value: quantity } }))
    this.#select.addEventListener('change', () => {
      const chosen = quantities.find(one => one === this.#select.value)
      if (chosen !== undefined) events.quantity(chosen)
    })
    this.object = element('section', { class: 'strip', attributes: { 'aria-label': 'Along the program' }, children: [element('div', { class: 'head', children: [this.#select, this.#figure] }), this.#canvas] })
    new ResizeObserver(() => {
      this.#fit()
      this.#request()
    }).observe(this.object)
    this.#listen()
  }

  setScene(loaded: LoadedScene): void {
    const count = loaded.motions?.count ?? 0
    if (loaded.motions !== this.#loaded?.motions) this.#window = { from: 0, to: Math.max(1, count) }
    this.#loaded = loaded
    this.#canvas.setAttribute('aria-valuemax', String(Math.max(1, count)))
  }

  render(state: ViewState): void {
    const old = this.#state
    this.#state = state
    const loaded = this.#loaded
    this.object.hidden = loaded?.motions === undefined
    if (loaded?.motions === undefined) return
    const key = [loaded.motions, loaded.contact, state.quantity]
    if (key.some((part, i) => part !== this.#lanesKey[i])) {
      this.#lanesKey = key
      this.#lanes = lanesOf(state.quantity, loaded.motions, loaded.path, loaded.contact)
      this.#select.value = state.quantity
      this.#fit()
    }
    if (old?.moment !== state.moment && state.moment !== undefined) this.#window = holding(this.#window, state.moment.motion, loaded.motions.count)
    if (old?.moment !== state.moment || old?.quantity !== state.quantity || old.scene !== state.scene || old.finding !== state.finding) {
      this.#tell()
      this.#request()
    }
  }

  paint(palette: Palette): void {
    this.#palette = palette
    this.#request()
  }

  #fit(): void {
    const lanes = this.#lanes.length
    this.#canvas.style.height = `${Math.max(1, lanes) * laneHeight(lanes, this.object.clientWidth)}px`
  }

  /** The motion at a place of the canvas, CSS pixels from its left edge. */
  #motionAt(x: number): number | undefined {
    const motions = this.#loaded?.motions
    if (motions === undefined) return undefined
    const width = Math.max(1, this.#canvas.clientWidth - GUTTER)
    const motion = Math.floor(this.#window.from + (x - GUTTER) / width * (this.#window.to - this.#window.from))
    return Math.min(motions.count - 1, Math.max(0, motion))
  }

  #listen(): void {
    const canvas = this.#canvas
    const place = (event: PointerEvent | WheelEvent) => event.clientX - canvas.getBoundingClientRect().left
    canvas.addEventListener('pointerdown', event => {
      if (event.button !== 0) return
      canvas.setPointerCapture(event.pointerId)
      this.#choose(this.#motionAt(place(event)))
    })
    canvas.addEventListener('pointermove', event => {
      this.#hovered = this.#motionAt(place(event))
      if ((event.buttons & 1) !== 0) this.#choose(this.#hovered)
      this.#tell()
    })
    canvas.addEventListener('pointerleave', () => {
      this.#hovered = undefined
      this.#tell()
    })
    canvas.addEventListener('wheel', event => {
      const count = this.#loaded?.motions?.count ?? 0
      if (count === 0) return
      event.preventDefault()
      const width = Math.max(1, canvas.clientWidth - GUTTER)
      const across = event.shiftKey ? event.deltaY : event.deltaX
      this.#window = across !== 0
        ? shifted(this.#window, Math.sign(across) * (this.#window.to - this.#window.from) / 10, count)
        : zoomed(this.#window, event.deltaY < 0 ? ZOOM : 1 / ZOOM, (place(event) - GUTTER) / width, count)
      this.#request()
    }, { passive: false })
    canvas.addEventListener('keydown', event => this.#key(event))
  }

  #key(event: KeyboardEvent): void {
    const count = this.#loaded?.motions?.count ?? 0
    if (count === 0 || event.ctrlKey || event.metaKey || event.altKey) return
    const now = this.#state?.moment?.motion ?? 0, window = this.#window
    const page = Math.max(1, Math.round((window.to - window.from) / 20))
    const at = (now + 0.5 - window.from) / (window.to - window.from)
    const motion = { ArrowLeft: now - 1, ArrowRight: now + 1, ArrowUp: now + page, ArrowDown: now - page, Home: 0, End: count - 1 }[event.key]
    if (motion !== undefined) this.#choose(Math.min(count - 1, Math.max(0, motion)))
    else if (event.key === '+' || event.key === '=') this.#window = zoomed(window, ZOOM, at, count)
    else if (event.key === '-') this.#window = zoomed(window, 1 / ZOOM, at, count)
    else return
    event.preventDefault()
    this.#request()
  }

  #choose(motion: number | undefined): void {
    if (motion !== undefined) this.#events.chosen(motion)
  }

  /** The figures under the pointer, or of the moment, in words. */
  #tell(): void {
    const loaded = this.#loaded, state = this.#state
    const motion = this.#hovered ?? state?.moment?.motion
    if (loaded?.motions === undefined || state?.scene === undefined) return
    const unit = state.scene.unit
    const words = motion === undefined ? '' : laneFigure(this.#lanes, loaded.motions, motion, unit)
    const empty = state.quantity === 'clearance' && loaded.contact === undefined ? 'Clearances show here when the search has come to its end.' : undefined
    this.#figure.textContent = empty ?? words
    this.#canvas.setAttribute('aria-valuenow', String((state.moment?.motion ?? 0) + 1))
    this.#canvas.setAttribute('aria-valuetext', empty ?? words)
  }

  #request(): void {
    if (this.#wanted) return
    this.#wanted = true
    requestAnimationFrame(() => {
      this.#wanted = false
      const motions = this.#loaded?.motions, state = this.#state, palette = this.#palette
      if (motions === undefined || state === undefined || palette === undefined) return
      drawStrip(this.#canvas, { lanes: this.#lanes, window: this.#window, motions, state, palette })
    })
  }
}
