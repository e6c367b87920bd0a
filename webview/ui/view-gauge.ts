import { scaleBar } from '../geometry/scale-bar.ts'
import { unitName } from '../readout.ts'
import type { ViewControl } from '../scene/view-control.ts'
import { Vector3 } from '../three.ts'
import { element, svgElement } from './element.ts'

/** Longest bar, CSS pixels. */
const ROOM = 120
const ARM = 24

/** How the picture lies: the part frame's axes as the camera sees them, and a bar of known length. */
export class ViewGauge {
  readonly object: HTMLElement
  readonly #arms = ['X', 'Y', 'Z'].map(letter => {
    const line = svgElement('line', { x1: '0', y1: '0' })
    const label = svgElement('text', { 'text-anchor': 'middle', 'dominant-baseline': 'central' })
    label.textContent = letter
    return { line, label }
  })
  readonly #bar = element('span', { class: 'bar' })
  readonly #length = element('span', { class: 'length' })

  constructor() {
    const half = ARM + 16
    const axes = svgElement('svg', { viewBox: `${-half} ${-half} ${2 * half} ${2 * half}`, class: 'axes', role: 'img', 'aria-label': 'Axes of the part frame' },
      this.#arms.flatMap(({ line, label }) => [line, label]))
    this.object = element('div', { class: 'gauge', children: [axes, element('div', { class: 'scale', children: [this.#bar, this.#length] })] })
  }

  render(view: ViewControl, unit: number): void {
    const direction = new Vector3()
    for (const [k, { line, label }] of this.#arms.entries()) {
      direction.set(0, 0, 0).setComponent(k, 1).transformDirection(view.camera.matrixWorldInverse)
      const x = direction.x * ARM, y = -direction.y * ARM
      line.setAttribute('x2', x.toFixed(1))
      line.setAttribute('y2', y.toFixed(1))
      // An arm that points away from the viewer is thin.
      line.setAttribute('class', direction.z < -0.05 ? 'away' : '')
      const out = 1 + 9 / Math.max(6, Math.hypot(x, y))
      label.setAttribute('x', (x * out).toFixed(1))
      label.setAttribute('y', (y * out).toFixed(1))
    }
    const bar = scaleBar(view.pixelsPerUnit * unit, ROOM)
    this.#bar.style.width = `${(bar?.pixels ?? 0).toFixed(1)}px`
    this.#length.textContent = bar === undefined ? '' : `${Number(bar.length.toPrecision(1))} ${unitName(unit)}`
  }
}
