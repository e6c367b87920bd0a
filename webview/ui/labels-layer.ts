import { Room } from '../geometry/room.ts'
import type { Label } from '../scene/label.ts'
import type { Eye } from '../scene/view-control.ts'
import { Vector3 } from '../three.ts'
import { element } from './element.ts'

interface Size { readonly width: number, readonly height: number }

/** Words over the picture, each beside its point. They are drawn for the eye; screen readers have the lists. */
export class LabelsLayer {
  readonly object = element('div', { class: 'labels', attributes: { 'aria-hidden': 'true' } })
  readonly #made: HTMLElement[] = []
  readonly #sizes = new Map<string, Size>()

  render(labels: readonly Label[], eye: Eye, width: number, height: number): void {
    const place = new Vector3(), room = new Room()
    for (const [i, label] of labels.entries()) {
      const made = this.#made[i] ?? this.#make()
      place.set(...label.point).project(eye)
      made.hidden = Math.abs(place.x) > 1 || Math.abs(place.y) > 1 || Math.abs(place.z) > 1
      if (made.hidden) continue
      if (made.textContent !== label.text) made.textContent = label.text
      made.className = `label ${label.kind}`
      const x = (place.x + 1) / 2 * width, y = (1 - place.y) / 2 * height
      made.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`
      // Of figures that would cover each other the first one shows.
      made.hidden = label.kind === 'figure' && !room.take({ x, y, ...this.#sizeOf(made, label.text) })
    }
    for (const left of this.#made.slice(labels.length)) left.hidden = true
  }

  /** CSS pixels; asked of the page once for each text, since it has to lay itself out for the answer. */
  #sizeOf(made: HTMLElement, text: string): Size {
    const known = this.#sizes.get(text)
    if (known !== undefined) return known
    const size = { width: made.offsetWidth, height: made.offsetHeight }
    this.#sizes.set(text, size)
    return size
  }

  #make(): HTMLElement {
    const made = element('span', { class: 'label' })
    this.#made.push(made)
    this.object.append(made)
    return made
  }
}
