import { readoutRows, spokenBlock, statusText } from '../readout.ts'
import type { ViewState } from '../view-state.ts'
import { element } from './element.ts'

/** The block under the cursor in figures; also what a screen reader is told when the cursor has moved. */
export class ReadoutPanel {
  readonly object: HTMLElement
  readonly #line = element('h2', {})
  readonly #text = element('code', { class: 'block' })
  readonly #rows = element('dl', {})
  readonly #trouble = element('p', { class: 'trouble', attributes: { role: 'status' } })
  readonly #notes = element('div', { class: 'notes' })
  readonly #status = element('p', { class: 'status', attributes: { role: 'status' } })
  readonly #spoken = element('p', { class: 'spoken', attributes: { 'aria-live': 'polite' } })
  #shown: ViewState | undefined
  #speech: ReturnType<typeof setTimeout> | undefined

  constructor() {
    this.object = element('section', {
      class: 'readout', attributes: { 'aria-label': 'Block under the cursor', 'tabindex': '0' },
      children: [this.#line, this.#text, this.#rows, this.#trouble, this.#notes, this.#status, this.#spoken],
    })
  }

  render(state: ViewState): void {
    const old = this.#shown
    this.#shown = state
    if (old === undefined || old.pose !== state.pose || old.scene !== state.scene || old.line !== state.line) this.#renderBlock(state)
    if (old?.scene !== state.scene) this.#notes.replaceChildren(...(state.scene?.notes ?? []).map(note => element('p', { text: note })))
    this.#trouble.textContent = state.readingTrouble ?? ''
    this.#trouble.hidden = state.readingTrouble === undefined
    const status = statusText(state.status)
    if (this.#status.textContent !== status) this.#status.textContent = status
  }

  #renderBlock(state: ViewState): void {
    const { pose, scene } = state
    this.#line.textContent = `Line ${(pose?.line ?? state.line) + 1}`
    this.#text.textContent = pose?.text ?? ''
    this.#rows.replaceChildren(...readoutRows(pose, scene).flatMap(row => [
      element('dt', { text: row.label }),
      element('dd', { text: row.value, class: row.touches === true ? 'touches' : '' }),
    ]))
    if (pose === undefined || scene === undefined) return
    // While the cursor runs through the program nothing is spoken; the block it stops at is.
    clearTimeout(this.#speech)
    this.#speech = setTimeout(() => {
      this.#spoken.textContent = spokenBlock(pose, scene)
    }, 400)
  }
}
