import type { View } from '../scene/view-control.ts'
import type { Showing, Shown, ViewState } from '../view-state.ts'
import { element } from './element.ts'

export interface ToolbarEvents {
  readonly look: (view: View | 'all' | 'tool') => void
  readonly show: (shown: Partial<Shown>) => void
  readonly step: (direction: 1 | -1) => void
}

const nextShowing: Readonly<Record<Showing, Showing>> = { 'solid': 'see-through', 'see-through': 'hidden', 'hidden': 'solid' }

/** Where to look from, what to show, and to the block before or after. */
export class Toolbar {
  readonly object: HTMLElement
  readonly #events: ToolbarEvents
  readonly #part: HTMLButtonElement
  readonly #tool: HTMLButtonElement
  readonly #rapids: HTMLButtonElement
  readonly #findings: HTMLButtonElement
  readonly #along: HTMLButtonElement
  #shown: Shown | undefined

  constructor(events: ToolbarEvents) {
    const looks: readonly (readonly [View | 'all', string, string])[] = [
      ['all', 'Fit', 'Show all of the part from this side (F)'],
      ['corner', 'Corner', 'Look from the front right corner (1)'],
      ['top', 'Top', 'Look along Z of the part (2)'],
      ['front', 'Front', 'Look along Y of the part (3)'],
      ['right', 'Right', 'Look along X of the part (4)'],
    ]
    this.#along = button('Down the tool', 'Look from the spindle along the tool axis, through the tool (T)', () => events.look('tool'))
    this.#events = events
    this.#part = button('', 'Part: solid, see-through or hidden (P)', () => this.toggle('part'))
    this.#tool = button('', 'Tool: solid, see-through or hidden (A)', () => this.toggle('tool'))
    this.#rapids = button('Rapids', 'Show rapid motion (R)', () => this.toggle('rapids'))
    this.#findings = button('Marks', 'Show the findings on the part (M)', () => this.toggle('findings'))
    this.object = element('div', {
      class: 'toolbar', attributes: { role: 'toolbar', 'aria-label': 'View' },
      children: [
        group('Look', [...looks.map(([view, label, title]) => button(label, title, () => events.look(view))), this.#along]),
        group('Show', [this.#part, this.#tool, this.#rapids, this.#findings]),
        group('Block', [
          button('Previous block', 'To the previous block that moves (Page up)', () => events.step(-1)),
          button('Next block', 'To the next block that moves (Page down)', () => events.step(1)),
        ]),
      ],
    })
  }

  /** What a press of the button does; keys come here as well. */
  toggle(what: keyof Shown): void {
    const shown = this.#shown
    if (shown === undefined) return
    if (what === 'part' || what === 'tool') this.#events.show({ [what]: nextShowing[shown[what]] })
    else this.#events.show({ [what]: !shown[what] })
  }

  render(state: ViewState): void {
    this.#along.disabled = state.pose?.pose === undefined
    if (this.#shown === state.shown) return
    this.#shown = state.shown
    this.#part.textContent = `Part: ${state.shown.part}`
    this.#tool.textContent = `Tool: ${state.shown.tool}`
    this.#rapids.setAttribute('aria-pressed', String(state.shown.rapids))
    this.#findings.setAttribute('aria-pressed', String(state.shown.findings))
  }
}

function button(label: string, title: string, pressed: () => void): HTMLButtonElement {
  const made = element('button', { text: label, attributes: { type: 'button', title } })
  made.addEventListener('click', pressed)
  return made
}

function group(label: string, buttons: readonly HTMLButtonElement[]): HTMLElement {
  return element('div', { class: 'group', attributes: { role: 'group', 'aria-label': label }, children: buttons })
}
