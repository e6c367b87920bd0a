import type { Label } from '../scene/label.ts'
import type { Eye } from '../scene/view-control.ts'
import { Vector3 } from '../three.ts'
import { element } from './element.ts'

/** Words over the picture, each beside its point. They are drawn for the eye; screen readers have the lists. */
export class LabelsLayer {
  readonly object = element('div', { class: 'labels', attributes: { 'aria-hidden': 'true' } })
  readonly #made: HTMLElement[] = []

  render(labels: readonly Label[], eye: Eye, width: number, height: number): void {
    const place = new Vector3()
    for (const [i, label] of labels.entries()) {
      const made = this.#made[i] ?? this.#make()
      place.set(...label.point).project(eye)
      made.hidden = Math.abs(place.x) > 1 || Math.abs(place.y) > 1 || Math.abs(place.z) > 1
      if (made.hidden) continue
      if (made.textContent !== label.text) made.textContent = label.text
      made.className = `label ${label.kind}`
      made.style.transform = `translate(${((place.x + 1) / 2 * width).toFixed(1)}px, ${((1 - place.y) / 2 * height).toFixed(1)}px)`
    }
    for (const left of this.#made.slice(labels.length)) left.hidden = true
  }

  #make(): HTMLElement {
    const made = element('span', { class: 'label' })
    this.#made.push(made)
    this.object.append(made)
    return made
  }
}
