import type { Level } from '../../shared/finding.ts'
import { svgElement } from './element.ts'

const outlines: Readonly<Record<Level, string>> = {
  error: 'M8 1.2 14.8 8 8 14.8 1.2 8Z',
  warning: 'M8 2 15 14 1 14Z',
  note: 'M8 2.2a5.8 5.8 0 1 0 0.01 0Z',
}

/** A hole in the middle, for what is not decided. */
const hole = 'M8 11.4a3.4 3.4 0 1 1 0.01 0Z'

/** The sign of a level, of the same shape as its marks in the picture. */
export function levelSign(level: Level, kind: 'plain' | 'waived' | 'open'): SVGElement {
  return svgElement('svg', { viewBox: '0 0 16 16', class: `sign ${level} ${kind}`, 'aria-hidden': 'true' },
    [svgElement('path', { 'd': kind === 'open' ? `${outlines[level]}${hole}` : outlines[level], 'fill-rule': 'evenodd' })])
}
