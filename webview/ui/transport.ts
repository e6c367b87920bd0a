import type { ActionName } from '../actions.ts'
import type { MotionTable } from '../geometry/motion-table.ts'
import { clockText, grouped } from '../readout.ts'
import type { ViewState } from '../view-state.ts'
import { actionButton } from './action-button.ts'
import { element } from './element.ts'

export interface TransportEvents {
  readonly act: (name: ActionName) => void
  /** A hand on the slider, 0 start to 1 end of the program's time. */
  readonly scrubbed: (share: number) => void
}

/** Steps of the slider: finer than a screen has pixels. */
const STEPS = 10_000

/** The program's time: to run it, stop it, step through it and drag it. */
export class Transport {
  readonly object: HTMLElement
  readonly #play: HTMLButtonElement
  readonly #slider = element('input', { attributes: { 'type': 'range', 'min': '0', 'max': String(STEPS), 'value': '0', 'aria-label': 'Time of the program' } })
  // Not read aloud as it runs: the slider tells it to whoever asks.
  readonly #clock = element('output', { class: 'clock', attributes: { 'aria-live': 'off' } })
  readonly #speed = element('span', { class: 'speed' })

  constructor(events: TransportEvents) {
    this.#play = actionButton('play', events.act)
    const buttons = (...names: readonly ActionName[]) => names.map(name => actionButton(name, events.act))
    this.object = element('div', {
      class: 'transport', attributes: { role: 'group', 'aria-label': 'Time' },
      children: [...buttons('finding-before', 'block-before'), this.#play, ...buttons('block-after', 'finding-after'), this.#slider, this.#clock, element('span', { class: 'pace', children: [...buttons('slower'), this.#speed, ...buttons('faster')] })],
    })
    this.#slider.addEventListener('input', () => events.scrubbed(Number(this.#slider.value) / STEPS))
  }

  render({ moment, playing, speed }: ViewState, motions: MotionTable | undefined): void {
    this.#play.textContent = playing ? 'Stop' : 'Play'
    this.#speed.textContent = `× ${speed}`
    this.object.hidden = motions === undefined
    if (motions === undefined) return
    const now = moment === undefined ? 0 : motions.secondsAt(moment)
    const value = String(Math.round(STEPS * (motions.duration > 0 ? now / motions.duration : 0)))
    if (this.#slider.value !== value) this.#slider.value = value
    const text = `${clockText(now)} of ${clockText(motions.duration)}`
    if (this.#clock.textContent === text) return
    this.#clock.textContent = text
    this.#slider.setAttribute('aria-valuetext', moment === undefined ? 'before the first motion' : `${text}, motion ${grouped(moment.motion + 1)} of ${grouped(motions.count)}`)
  }
}
