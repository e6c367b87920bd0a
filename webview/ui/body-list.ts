import type { BodyDescription, SceneDescription } from '../../shared/protocol/scene-messages.ts'
import type { Shown, ViewState } from '../view-state.ts'
import { bodyKey, nextShowing, showingOf } from '../view-state.ts'
import { element } from './element.ts'

/** What stands around the part, one button each: solid, see-through or hidden. */
export class BodyList {
  readonly object = element('div', { class: 'bodies', attributes: { role: 'group', 'aria-label': 'Around the part' } })
  readonly #show: (shown: Partial<Shown>) => void
  #rows: readonly { readonly body: BodyDescription | 'stock', readonly button: HTMLButtonElement }[] = []
  #scene: SceneDescription | undefined
  #shown: Shown | undefined

  constructor(show: (shown: Partial<Shown>) => void) {
    this.#show = show
  }

  render({ scene, shown }: ViewState): void {
    if (scene !== this.#scene) this.#fill(scene)
    else if (shown === this.#shown) return
    this.#shown = shown
    for (const { body, button } of this.#rows) button.textContent = `${nameOf(body)}: ${showingOf(shown, body)}`
  }

  #fill(scene: SceneDescription | undefined): void {
    this.#scene = scene
    const bodies = [...scene?.stock === undefined ? [] : ['stock' as const], ...scene?.bodies ?? []]
    this.#rows = bodies.map(body => {
      const button = element('button', { attributes: { type: 'button', title: `${nameOf(body)}: solid, see-through or hidden` } })
      button.addEventListener('click', () => this.#press(body))
      return { body, button }
    })
    this.object.replaceChildren(...this.#rows.map(({ button }) => button))
  }

  #press(body: BodyDescription | 'stock'): void {
    const shown = this.#shown
    if (shown === undefined) return
    const key = body === 'stock' ? body : bodyKey(body)
    this.#show({ bodies: { ...shown.bodies, [key]: nextShowing[showingOf(shown, body)] } })
  }
}

function nameOf(body: BodyDescription | 'stock'): string {
  if (body === 'stock') return 'Stock'
  return `${{ fixture: 'Fixture', barrier: 'Barrier', machine: 'Machine' }[body.kind]} ${body.name}`
}
