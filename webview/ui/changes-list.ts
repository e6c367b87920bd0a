import type { MotionChange } from '../../shared/protocol/scene-messages.ts'
import type { ActionName } from '../actions.ts'
import { changeText, comparisonText } from '../readout.ts'
import type { ViewState } from '../view-state.ts'
import { actionButton } from './action-button.ts'
import { element } from './element.ts'

/** More are counted; the steps go through all of them. */
const SHOWN = 200

export interface ChangesEvents {
  readonly act: (name: ActionName) => void
  readonly chosen: (change: MotionChange) => void
}

/** What differs in motion from another version of the program. Absent while none is compared. */
export class ChangesList {
  readonly object: HTMLElement
  readonly #summary = element('p', { attributes: { role: 'status' } })
  readonly #list = element('ol', {})
  readonly #steps: HTMLElement
  readonly #events: ChangesEvents
  #shown: ViewState['other']

  constructor(events: ChangesEvents) {
    this.#events = events
    this.#steps = element('div', { class: 'steps', children: [actionButton('change-before', events.act), actionButton('change-after', events.act)] })
    this.object = element('section', { class: 'changes', attributes: { 'aria-label': 'Compared with another version' }, children: [element('h2', { text: 'Compared' }), this.#summary, this.#steps, this.#list] })
    this.object.hidden = true
  }

  render({ other, scene }: ViewState): void {
    if (other === this.#shown) return
    this.#shown = other
    this.object.hidden = other === undefined
    if (other === undefined) return
    const unit = scene?.unit ?? 1
    this.#summary.textContent = comparisonText(other, unit)
    this.#steps.hidden = other.changes.length === 0
    this.#list.replaceChildren(...other.changes.slice(0, SHOWN).map(change => {
      const button = element('button', { text: changeText(change, unit, other.mend !== undefined), attributes: { type: 'button' } })
      button.addEventListener('click', () => this.#events.chosen(change))
      return element('li', { children: [button] })
    }))
    // What a mend does is to be read before it is made.
    if (other.mend !== undefined) this.object.scrollIntoView({ block: 'nearest' })
  }
}
