import { describe, expect, test } from 'vitest'
import { leftPicture, type LeftToDraw } from '../../server/engine/record/left-picture.ts'
import { divergingColour } from '../harness/diverging-colour.ts'
import { box } from '../mesh/bodies.ts'

// The colours of what is left, read back from the drawing and held against the published scale; the body is a box whose top is z = 5.

const LENGTH = 40, DEPTH = 20, TOP = 5, STEP = 0.5

/** Points every half millimetre over the box's top, with such heights. */
function topOf(heightAt: (x: number, y: number) => number, more: Partial<LeftToDraw> = {}): LeftToDraw {
  const places: [number, number][] = []
  for (let x = STEP / 2; x < LENGTH; x += STEP) for (let y = STEP / 2; y < DEPTH; y += STEP) places.push([x, y])
  return {
    corners: box([LENGTH, DEPTH, TOP]),
    points: Float64Array.from(places.flatMap(([x, y]) => [x, y, TOP])),
    normals: Float32Array.from(places.flatMap(() => [0, 0, 1])),
    areas: new Float32Array(places.length).fill(STEP * STEP),
    heights: Float32Array.from(places, ([x, y]) => heightAt(x, y)),
    allowed: { leftover: 0.05, gouge: 0.01 }, marks: [], ...more,
  }
}

/** The dots of the first view with their colours; undefined where there is none. Only what an SVG reader knows: strokes one dot high. */
function dotsOf(drawing: string): (x: number, y: number) => string | undefined {
  const dots = new Map<string, string>()
  const [, inside = ''] = /<g transform="translate\(0 0\)[^>]*>(.*?)<\/g>/.exec(drawing) ?? []
  for (const [, stroke = '', d = ''] of inside.matchAll(/stroke="(#[0-9a-f]{6})" d="([^"]*)"/g)) {
    let x = 0, y = 0
    for (const [, kind, a, b, run] of d.matchAll(/([Mm])(-?\d+) (-?[\d.]+)h(\d+)/g)) {
      x = Number(a) + (kind === 'm' ? x : 0)
      y = Number(b) + (kind === 'm' ? y : 0)
      for (const end = x + Number(run); x < end; x++) dots.set(`${x} ${y}`, stroke)
    }
  }
  return (x, y) => dots.get(`${x} ${y}.5`) ?? dots.get(`${x} ${y + 0.5}`)
}

/** The dot over a place of the top, seen from above: 1280 by 800 dots, 15 % of the shorter side free about what was measured. */
function fromAbove(x: number, y: number): [number, number] {
  const free = 0.15 * 800, scale = Math.min((1280 - 2 * free) / (LENGTH - STEP), (800 - 2 * free) / (DEPTH - STEP))
  return [Math.floor(640 + (x - LENGTH / 2) * scale), Math.floor(400 - (y - DEPTH / 2) * scale)]
}

const partsOf = (colour = '') => [1, 3, 5].map(at => parseInt(colour.slice(at, at + 2), 16))

describe('the picture of what is left', () => {
  test('has the colours of the published scale, from the deepest cut to what stands highest', () => {
    // From 0.05 mm too deep on the left to 0.1 mm standing on the right: the ends of the scale for these limits, 0 in the middle.
    const ramp = (x: number) => x < LENGTH / 2 ? -0.05 * (1 - 2 * x / LENGTH) : 0.1 * (2 * x / LENGTH - 1)
    const picture = leftPicture(topOf(ramp))
    expect([picture?.views, picture?.shown]).toEqual([['from above'], 1])
    const at = dotsOf(picture?.drawing ?? '')
    for (let x = 1; x < LENGTH; x += 1.5) {
      const wanted = divergingColour(x / LENGTH), parts = partsOf(at(...fromAbove(x, 7.25)))
      // A step of seventeen to either side, and two of 255 for the stops.
      const step = Math.max(...[x - 1.5, x + 1.5].flatMap(near => divergingColour(Math.min(1, Math.max(0, near / LENGTH))).map((part, k) => Math.abs(part - wanted[k])))) + 2
      for (const k of [0, 1, 2]) expect(Math.abs(parts[k] - wanted[k]), `at ${x}: ${parts.join(' ')} beside ${wanted.map(Math.round).join(' ')}`).toBeLessThan(step)
    }
  })

  test('is the same, letter for letter, when it is drawn again', () => {
    expect(leftPicture(topOf(x => x / 400))).toEqual(leftPicture(topOf(x => x / 400)))
  })

  test('leaves grey what nobody knows, and is not drawn where nothing is known', () => {
    const at = dotsOf(leftPicture(topOf((_, y) => y < DEPTH / 2 ? 0.1 : NaN))?.drawing ?? '')
    const colours = new Set<number>()
    for (let y = 0; y < 800; y++) {
      const colour = at(640, y)
      if (colour !== undefined) colours.add(new Set(partsOf(colour)).size)
    }
    // Both a colour and greys are met on the way down the middle.
    expect(colours).toEqual(new Set([1, 3]))
    expect(leftPicture(topOf(() => NaN))).toBeUndefined()
  })

  test('shows a cut deeper than allowed before what stands beside it, and what stands before the bare surface', () => {
    const cut = dotsOf(leftPicture(topOf(x => Math.abs(x - 20.25) < 0.1 ? -0.02 : 1))?.drawing ?? '')(...fromAbove(20.25, 10))
    expect(partsOf(cut)[0]).toBeGreaterThan(partsOf(cut)[2])
    const left = dotsOf(leftPicture(topOf(x => Math.abs(x - 20.25) < 0.1 ? 1 : 0))?.drawing ?? '')(...fromAbove(20.25, 10))
    expect(partsOf(left)[2]).toBeGreaterThan(partsOf(left)[0])
  })

  test('shows what the part would hide, from where it faces the reader, and needs two views for two sides', () => {
    // The underside of a roof over the box cannot be seen from anywhere above; its facets look down.
    const left = topOf(() => 0.03), below = { ...left, normals: left.normals.map((part, i) => i % 3 === 2 ? -part : part) }
    expect(leftPicture(below)?.views).toEqual(['from below'])
    const both = (['points', 'areas', 'heights', 'normals'] as const).reduce((all, key) => ({ ...all, [key]: [...left[key], ...below[key].map((part, i) => key === 'points' && i % 3 === 2 ? 0 : part)] }), {}) as Record<'points' | 'areas' | 'heights' | 'normals', number[]>
    const picture = leftPicture({
      ...left, points: Float64Array.from(both.points), areas: Float32Array.from(both.areas), heights: Float32Array.from(both.heights), normals: Float32Array.from(both.normals),
    })
    expect(picture?.views).toEqual(['from above', 'from below'])
    expect(picture?.shown).toBe(1)
  })

  test('names limits and ends with their unit, and rings the places it is given', () => {
    const left = leftPicture(topOf(() => 0.03, { marks: [{ mark: 'T', point: [20.25, 10.25, TOP] }, { mark: 'D', point: [20.25, 10.25, -TOP] }] }))?.drawing ?? ''
    for (const words of ['deepest cut allowed −0.010 mm', 'most that may stand 0.050 mm', '−0.050 mm and deeper', '0.100 mm and more']) expect(left).toContain(words)
    expect(left.match(/class="place"/g)).toHaveLength(1)
    expect(left).toContain('>T</text>')
  })
})
