import type { ActionName } from '../actions.ts'
import type { CutPlane } from '../geometry/section-plane.ts'
import { subjectText } from '../lane-words.ts'
import type { Shown, ViewState } from '../view-state.ts'
import { actionButton, setPressed } from './action-button.ts'
import { BodyList } from './body-list.ts'
import { element } from './element.ts'
import { menu } from './menu.ts'

export interface ToolbarEvents {
  readonly act: (name: ActionName) => void
  readonly show: (shown: Partial<Shown>) => void
}

const cutNames: Readonly<Record<CutPlane, string>> = {
  off: 'whole', x: 'square to X', y: 'square to Y', z: 'square to Z', across: 'across the way', along: 'along the tool and its way',
}

/** Where to look from, what to show, and how. */
export class Toolbar {
  readonly object: HTMLElement
  readonly #buttons = new Map<ActionName, HTMLButtonElement>()
  readonly #bodies: BodyList
  #drawn: ViewState | undefined

  constructor(events: ToolbarEvents) {
    this.#bodies = new BodyList(events.show)
    const button = (name: ActionName) => {
      const made = actionButton(name, events.act)
      this.#buttons.set(name, made)
      return made
    }
    const buttons = (...names: readonly ActionName[]) => names.map(button)
    this.object = element('div', {
      class: 'toolbar', attributes: { role: 'toolbar', 'aria-label': 'View' },
      children: [
        group('Look', [
          ...buttons('fit', 'view-corner', 'view-top', 'view-front', 'view-right', 'view-tool'),
          menu('More views', buttons('view-back', 'view-left', 'view-below', 'view-axis', 'perspective')),
        ]),
        group('Show', [
          ...buttons('part', 'tool', 'rapids', 'marks'),
          menu('More to show', [this.#bodies.object, ...buttons('around', 'stock-now', 'map', 'figures', 'whiskers', 'frames')]),
        ]),
        group('Look into', [
          menu('Wake', buttons('wake', 'run-from', 'run-to')),
          menu('Cut', buttons('cut', 'cut-back', 'cut-on', 'cut-turn')),
          ...buttons('measure'),
        ]),
        group('Keep', buttons('compare', 'picture', 'keys')),
      ],
    })
  }

  render(state: ViewState): void {
    const old = this.#drawn
    this.#drawn = state
    this.#bodies.render(state)
    const { shown } = state
    this.#of('view-tool').disabled = state.moment === undefined
    this.#of('view-axis').disabled = state.moment === undefined
    if (old !== undefined && old.shown === shown && old.wake === state.wake && old.cut === state.cut && old.measure === state.measure && old.mapped === state.mapped && old.stockNow === state.stockNow && old.perspective === state.perspective) return
    this.#of('part').textContent = `Part: ${shown.part}`
    this.#of('tool').textContent = `Tool: ${shown.tool}`
    this.#of('map').textContent = `Colours: ${state.mapped === undefined ? 'none' : subjectText(state.mapped)}`
    this.#of('wake').textContent = `Wake: ${wakeName(state)}`
    this.#of('cut').textContent = `Cut: ${cutNames[state.cut.plane]}`
    for (const [name, isPressed] of [
      ['stock-now', state.stockNow],
      ['rapids', shown.rapids], ['marks', shown.findings], ['figures', shown.figures], ['whiskers', shown.whiskers], ['frames', shown.frames],
      ['perspective', state.perspective], ['measure', state.measure.on], ['cut-turn', state.cut.turned],
    ] as const) setPressed(this.#of(name), isPressed)
    for (const name of ['cut-back', 'cut-on', 'cut-turn'] as const) this.#of(name).disabled = state.cut.plane === 'off'
  }

  #of(name: ActionName): HTMLButtonElement {
    const button = this.#buttons.get(name)
    if (button === undefined) throw new Error(`The toolbar has no button for ${name}.`)
    return button
  }
}

function wakeName({ wake }: ViewState): string {
  return { off: 'hidden', behind: 'behind the tool', run: 'of the chosen run' }[wake.kind]
}

function group(label: string, buttons: readonly HTMLElement[]): HTMLElement {
  return element('div', { class: 'group', attributes: { role: 'group', 'aria-label': label }, children: buttons })
}
