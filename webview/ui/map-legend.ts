import type { Component } from '../../shared/finding.ts'
import { scaleStops } from '../geometry/colour-scale.ts'
import type { PlaceMap } from '../geometry/place-map.ts'
import { componentName, grouped, lengthText, unitName } from '../readout.ts'
import { element } from './element.ts'

/** What the colours on the part mean: figures with their unit, the limit, and what has no colour. */
export class MapLegend {
  readonly object = element('figure', { class: 'map-legend', attributes: { 'aria-label': 'Colours on the part' } })
  readonly #title = element('figcaption', {})
  readonly #bar = element('div', { class: 'scale-bar' })
  readonly #ends = element('div', { class: 'ends' })
  readonly #limit = element('p', {})
  readonly #count = element('p', {})
  #map: PlaceMap | undefined

  constructor() {
    this.#bar.style.background = `linear-gradient(to right, ${[...scaleStops].reverse().map(stop => `rgb(${stop.join(' ')})`).join(', ')})`
    this.object.append(this.#title, this.#bar, this.#ends, this.#limit, this.#count)
    this.object.hidden = true
  }

  render(map: PlaceMap | undefined, component: Component | undefined, unit: number): void {
    this.object.hidden = map === undefined || component === undefined
    if (map === undefined || component === undefined || map === this.#map) return
    this.#map = map
    const length = (mm: number) => `${lengthText(mm, unit)} ${unitName(unit)}`
    this.#title.textContent = `Nearest places of the ${component}`
    this.#ends.replaceChildren(element('span', { text: length(map.low) }), element('span', { text: `${length(map.high)} and more` }))
    this.#limit.textContent = map.limit === undefined ? 'No limit is known.' : `Limit in feed: ${length(map.limit)}, at the mark`
    this.#bar.style.setProperty('--limit', map.limit === undefined ? '-1' : String(Math.min(1, Math.max(0, (map.limit - map.low) / (map.high - map.low)))))
    this.#count.textContent = map.values.length === 0
      ? `${componentName(component)}: nowhere as near as the search looked.`
      : `${grouped(map.values.length)} motions; those farther than the search looked have no place. Negative: below the surface.`
  }
}
