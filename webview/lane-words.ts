import { boundNumber } from '../shared/bound-text.ts'
import type { Component } from '../shared/finding.ts'
import type { Lane, Quantity } from './geometry/lanes.ts'
import type { MotionTable } from './geometry/motion-table.ts'
import type { MapSubject, PlaceMap } from './geometry/place-map.ts'
import { componentName, grouped, lengthText, unitName } from './readout.ts'

// The strip's figures in words. mm, radians and seconds arrive; the units of the shop leave.

export function quantityName(quantity: Quantity): string {
  return { clearance: 'Clearance to the part', feed: 'Feed', axes: 'Axis positions', rates: 'Axis rates' }[quantity]
}

export function laneUnit(dimension: Lane['dimension'], unit: number): string {
  const length = unitName(unit)
  return { length, angle: '°', speed: `${length}/min`, turning: '°/min', feed: `${length}/min`, ratio: '' }[dimension]
}

/** A value in the unit of its lane. */
export function inLaneUnit(value: number, dimension: Lane['dimension'], unit: number): number {
  switch (dimension) {
    case 'length':
      return value / unit
    case 'angle':
      return value * 180 / Math.PI
    case 'speed':
    case 'feed':
      return value / unit * 60
    case 'turning':
      return value * 180 / Math.PI * 60
    case 'ratio':
      return value
    default:
      return dimension satisfies never
  }
}

export function valueText(value: number, dimension: Lane['dimension'], unit: number): string {
  if (Number.isNaN(value)) return 'not known'
  if (value === Infinity) return 'beyond the search'
  if (dimension === 'length') return `${lengthText(value, unit)} ${unitName(unit)}`
  const own = inLaneUnit(value, dimension, unit)
  if (dimension === 'angle') return `${own.toFixed(3)}°`
  if (dimension === 'ratio') return `${(own * 100).toFixed(0)} %`
  return `${own.toFixed(own < 100 ? 1 : 0)} ${laneUnit(dimension, unit)}`
}

/** All lanes at one motion. */
export function laneFigure(lanes: readonly Lane[], { path, count }: MotionTable, motion: number, unit: number): string {
  const figures = lanes.map(({ label, series, second, dimension, limitAt }) => {
    const limit = limitAt?.(motion)
    const asked = second === undefined ? '' : `, asked for ${valueText(second.values[motion] ?? NaN, dimension, unit)}`
    return `${label} ${valueText(series.values[motion] ?? NaN, dimension, unit)}${asked}${limit === undefined ? '' : ` (limit ${valueText(limit, dimension, unit)})`}`
  })
  return `Line ${grouped((path.line[motion] ?? 0) + 1)}, motion ${grouped(motion + 1)} of ${grouped(count)}: ${figures.join('; ')}`
}

/** What the colours tell. */
export function subjectText(subject: MapSubject): string {
  return subject === 'left' ? 'what is left on the part' : `nearest places of the ${subject}`
}

/** One point of the part: what stands there or is cut too deep, with the bound, the limits, where it is and which block comes lowest. */
export function leftText({ values, certified, positions, limits: [gouge, leftover] }: PlaceMap, place: number, line: number, unit: number): string {
  const high = values[place] ?? NaN, low = certified[place] ?? NaN, middle = (high + low) / 2
  const length = (mm: number) => lengthText(mm, unit)
  const at = ['X', 'Y', 'Z'].map((letter, k) => `${letter} ${length(positions[place * 3 + k] ?? NaN)}`).join(' ')
  const figure = `${length(Math.abs(middle))} ± ${boundNumber((high - low) / 2, unit)} ${unitName(unit)}`
  const what = middle < 0 ? `Cut ${figure} below the surface, limit ${length(-(gouge ?? NaN))}` : `${figure} left standing, limit ${length(leftover ?? NaN)}`
  return `${what}, at ${at}: line ${grouped(line + 1)} comes lowest`
}

/** One coloured place: its figure with the bound, the limit, where it is and which block comes so near. */
export function placeText({ values, certified, positions }: PlaceMap, place: number, component: Component, limit: number | undefined, line: number, unit: number): string {
  const value = values[place] ?? NaN, least = certified[place] ?? NaN
  const length = (mm: number) => lengthText(mm, unit)
  const at = ['X', 'Y', 'Z'].map((letter, k) => `${letter} ${length(positions[place * 3 + k] ?? NaN)}`).join(' ')
  const held = limit === undefined ? '' : `, limit ${length(limit)}`
  return `${componentName(component)} ${length((value + least) / 2)} ± ${boundNumber((value - least) / 2, unit)} ${unitName(unit)}${held}, at ${at}: line ${grouped(line + 1)}`
}
