import { scales, shareOf } from '../../shared/colour-scale.ts'
import type { MapSubject, PlaceMap } from '../geometry/place-map.ts'
import { subjectText } from '../lane-words.ts'
import { capitalised, grouped, lengthText, unitName } from '../readout.ts'
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
    this.object.append(this.#title, this.#bar, this.#ends, this.#limit, this.#count)
    this.object.hidden = true
  }

  render(map: PlaceMap | undefined, subject: MapSubject | undefined, unit: number): void {
    this.object.hidden = map === undefined || subject === undefined
    if (map === undefined || subject === undefined || map === this.#map) return
    this.#map = map
    const length = (mm: number) => `${lengthText(mm, unit)} ${unitName(unit)}`
    this.#title.textContent = capitalised(subjectText(subject))
    const isLeft = subject === 'left'
    const ends = isLeft ? [`${length(map.low)} and deeper`, '0', `${length(map.high)} and more`] : [length(map.low), `${length(map.high)} and more`]
    this.#ends.replaceChildren(...ends.map(text => element('span', { text })))
    this.#bar.style.background = `linear-gradient(to right, ${scales[map.scale].map(stop => `rgb(${stop.join(' ')})`).join(', ')})`
    const limits = map.limits.map(length).join(' and ')
    this.#limit.textContent = limits === '' ? 'No limit is known.' : isLeft ? `Limits of the sheet: ${limits}, at the marks` : `Limit in feed: ${limits}, at the mark`
    this.#bar.replaceChildren(...map.limits.map(limit => {
      const mark = element('div', { class: 'limit-mark' })
      mark.style.left = `${100 * shareOf(limit, map)}%`
      return mark
    }))
    this.#count.textContent = countText(map, subject)
  }
}

function countText({ values, besides }: PlaceMap, subject: MapSubject): string {
  if (subject === 'left') return `${grouped(values.length)} points of the surface; nothing is known between them. ${besides ?? ''} Left of the middle: cut below the surface; right of it: left standing.`
  return values.length === 0
    ? `${capitalised(subject)}: nowhere as near as the search looked.`
    : `${grouped(values.length)} motions; those farther than the search looked have no place. Negative: below the surface.`
}
