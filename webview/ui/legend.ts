import { components } from '../../shared/finding.ts'
import { componentName, levelName } from '../readout.ts'
import { element, svgElement } from './element.ts'
import { levelSign } from './level-sign.ts'

/** What the lines, shades and signs of the picture mean. Folded until it is asked for. */
export function legend(): HTMLElement {
  const rows = [
    row(line('cutting', ''), 'Cutting motion'),
    row(line('rapid', '6 5'), 'Rapid motion, straight to the end of its block'),
    row(line('rapid', '8 3 2 3'), 'Rapid motion that does not run straight'),
    row(line('current', ''), 'Block under the cursor'),
    ...components.map(component => row(swatch(component), componentName(component))),
    row(swatch('part'), 'Part'),
    row(swatch('inside'), 'Part seen from inside: the mesh is open, turned inside out, or cut open'),
    row(swatch('fixture'), 'Fixture'),
    row(swatch('barrier'), 'Barrier'),
    row(swatch('machine'), 'Body of the machine'),
    row(line('stock', '2.5 2.5'), 'Stock before the first block'),
    row(line('before', '6 4'), 'Compared: motion of the other version alone; before a mend: as it is'),
    row(line('after', ''), 'Compared: motion of this version alone; before a mend: as it would be'),
    row(swatch('wake'), 'Wake of the cutter'),
    row(levelSign('error', 'plain'), levelName('error')),
    row(levelSign('warning', 'plain'), levelName('warning')),
    row(levelSign('note', 'plain'), levelName('note')),
    row(levelSign('warning', 'waived'), 'Accepted in the program'),
    row(levelSign('error', 'open'), 'Not decided by the proven bounds'),
  ]
  return element('details', { class: 'legend', children: [element('summary', { text: 'Legend' }), element('ul', { children: rows })] })
}

function row(sign: Node, label: string): HTMLElement {
  return element('li', { children: [sign, element('span', { text: label })] })
}

function line(meaning: string, dashes: string): SVGElement {
  return svgElement('svg', { viewBox: '0 0 28 12', class: `line ${meaning}`, 'aria-hidden': 'true' },
    [svgElement('line', { x1: '0', y1: '6', x2: '28', y2: '6', ...dashes === '' ? {} : { 'stroke-dasharray': dashes } })])
}

function swatch(meaning: string): SVGElement {
  const parts: Node[] = [svgElement('rect', { x: '0.5', y: '0.5', width: '27', height: '11', rx: '2' })]
  if (meaning === 'inside') parts.push(svgElement('path', { d: 'M3 11 13 1M11 11 21 1M19 11 27 3', class: 'hatch' }))
  return svgElement('svg', { viewBox: '0 0 28 12', class: `swatch ${meaning}`, 'aria-hidden': 'true' }, parts)
}
