import { describe, expect, test } from 'vitest'
import { scaleColour, scales, shareOf, STOPS } from '../../shared/colour-scale.ts'
import { NO_MOTION } from '../../shared/protocol/result-messages.ts'
import { leftPlaces } from '../../webview/geometry/left-places.ts'
import { nearestPlaces, placeAt } from '../../webview/geometry/place-map.ts'
import { leftText, placeText } from '../../webview/lane-words.ts'
import { changeText, comparisonText } from '../../webview/readout.ts'
import { captionLines, wrapped } from '../../webview/record-picture.ts'
import { firstState } from '../../webview/view-state.ts'
import { divergingColour, linearLight } from '../harness/diverging-colour.ts'
import { programOf } from './motion-samples.ts'
import { sampleScene } from './sample-scene.ts'

describe('the scales of colours', () => {
  /** CIE 1976 lightness of an sRGB colour (IEC 61966-2-1, CIE 15). */
  const lightness = (colour: readonly number[]) => {
    const [red, green, blue] = linearLight(colour)
    const y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return y > 0.008856 ? 116 * Math.cbrt(y) - 16 : 903.3 * y
  }
  const along = (scale: keyof typeof scales, steps: number) => Array.from({ length: steps + 1 }, (_, i) => scaleColour(scales[scale], i / steps))

  test('nearness grows darker evenly from near to far', () => {
    const steps = along('nearness', 32).map(lightness)
    const even = (steps[0] - steps[32]) / 32
    for (let i = 1; i < steps.length; i++) expect(Math.abs(steps[i - 1] - steps[i] - even)).toBeLessThan(even * 0.45)
    expect(steps[0] - steps[32]).toBeGreaterThan(70)
  })

  test('the sides are those of the formula they are published with, to two steps of 255', () => {
    const formula = Array.from({ length: STOPS }, (_, i) => divergingColour(i / (STOPS - 1)))
    for (const [i, stop] of scales.sides.entries()) {
      for (const [k, part] of stop.entries()) expect(Math.abs(part - formula[i][k]), `stop ${i}, ${stop.join(' ')} beside ${formula[i].map(Math.round).join(' ')}`).toBeLessThan(2)
    }
  })

  test('the sides grow darker from a grey at nought, and one not faster than the other', () => {
    const steps = along('sides', 16), light = steps.map(lightness)
    expect(new Set(steps[8]).size).toBe(1)
    for (let i = 0; i < 8; i++) {
      expect(light[i + 1]).toBeGreaterThan(light[i])
      expect(light[16 - i - 1]).toBeGreaterThan(light[16 - i])
      expect(Math.abs(light[i] - light[16 - i])).toBeLessThan(6)
    }
  })

  test('stay the same beyond their ends, and each half has its own figures', () => {
    for (const scale of Object.values(scales)) {
      expect(scale).toHaveLength(STOPS)
      expect(scaleColour(scale, -3)).toEqual(scaleColour(scale, 0))
      expect(scaleColour(scale, 7)).toEqual(scale[STOPS - 1].map(part => part / 255))
    }
    const range = { low: -0.25, middle: 0, high: 0.5 }
    expect([-1, -0.25, -0.0625, 0, 0.125, 0.5, 1].map(figure => shareOf(figure, range))).toEqual([0, 0, 0.375, 0.5, 0.625, 1, 1])
  })
})

describe('nearest places', () => {
  const table = programOf([0, 0, 0], [{ to: [1, 0, 0] }, { to: [2, 0, 0] }, { to: [3, 0, 0], line: 7 }])
  const contact = {
    value: Float32Array.of(0, 0.4, 0, 0, 0, Infinity, 0, 0, 0, 0.1, 0, 0), certified: Float32Array.of(0, 0.398, 0, 0, 0, -Infinity, 0, 0, 0, 0.098, 0, 0),
    limits: [{ motion: 0, feed: [-0.01, 0.15, 0.15, 1], rapid: [1, 1, 1, 1] }],
  }
  const points = Float32Array.from({ length: 36 }, (_, i) => i)
  const map = nearestPlaces(table, contact, points, 'neck')

  test('are those that have a figure, the nearest last', () => {
    expect([...map.motions]).toEqual([0, 2])
    expect([...map.positions]).toEqual([3, 4, 5, 27, 28, 29])
    expect([map.scale, map.low, map.high, ...map.limits]).toEqual(['nearness', Math.fround(0.1), 0.75, 0.15])
    expect(map.middle).toBeCloseTo(0.425)
  })

  test('their limit is that of most feed motions', () => {
    const limits = [{ motion: 0, feed: [-0.01, 1, 1, 1], rapid: [1, 1, 1, 1] }, { motion: 1, feed: [-0.01, 0.15, 0.15, 1], rapid: [1, 1, 1, 1] }]
    expect(nearestPlaces(table, { ...contact, limits }, points, 'neck').limits).toEqual([0.15])
  })

  test('in words: figure, bound, limit, place and block', () => {
    expect(placeText(map, 1, 'neck', 0.15, 7, 1)).toBe('Neck 0.099 ± 0.001 mm, limit 0.150, at X 27.000 Y 28.000 Z 29.000: line 8')
  })

  test('what is left: points that a pass comes near, the farthest from the surface last, in words', () => {
    const { result } = sampleScene({ triangles: 1000, segments: 400 })
    const left = leftPlaces(result, {
      points: Float32Array.of(0, 0, 0, 1, 0, 0, 2, 0, 0, 3, 4, 5), heights: Float32Array.of(0.25, NaN, 0.125, -0.5),
      bounds: Float32Array.of(0.125, NaN, 0, 0.25), motions: Uint32Array.of(4, NO_MOTION, 5, 6),
    })
    expect([...left.motions]).toEqual([5, 4, 6])
    expect([...left.positions]).toEqual([2, 0, 0, 0, 0, 0, 3, 4, 5])
    expect([left.scale, left.low, left.middle, left.high, ...left.limits]).toEqual(['sides', -0.05, 0, 0.1, -0.01, 0.05])
    expect(leftText(left, 1, 6, 1)).toBe('0.250 ± 0.125 mm left standing, limit 0.050, at X 0.000 Y 0.000 Z 0.000: line 7 comes lowest')
    expect(leftText(left, 2, 6, 1)).toBe('Cut 0.500 ± 0.250 mm below the surface, limit 0.010, at X 3.000 Y 4.000 Z 5.000: line 7 comes lowest')
  })

  test('a click means the one nearest to the viewer within reach', () => {
    const positions = Float32Array.of(0, 0, 5, 3, 0, 1, 30, 0, 0)
    const project = (x: number, y: number, z: number) => [x, y, z] as const
    expect(placeAt(positions, project, 1, 0, 6)).toBe(1)
    expect(placeAt(positions, project, 30, 1, 6)).toBe(2)
    expect(placeAt(positions, project, 90, 1, 6)).toBeUndefined()
  })
})

describe('two versions in words', () => {
  const path = { vertices: 0, positions: '', lines: '', flags: '', motions: '' }
  const gone = { old: { first: 3, end: 5 }, new: { first: 3, end: 3 } }
  const moved = { old: { first: 9, end: 10 }, new: { first: 7, end: 8 }, lines: [11, 11] as const, apart: { value: 0.25, atMost: 0.2501 } }

  test('nothing differs, and what that does not say', () => {
    expect(comparisonText({ name: 'a.nc', path, changes: [], sameMotions: 1200, rewritten: 3 }, 1))
      .toBe('Against a.nc: every motion runs the same way (1,203 compared, 3 of them written in other blocks). Feeds, speeds and clearances are not compared here.')
  })

  test('how far, with its bound, where it is known', () => {
    expect(comparisonText({ name: 'a.nc', path, changes: [moved], sameMotions: 5, rewritten: 0 }, 1))
      .toContain('one stretch runs another way, the tool points no more than 0.251 mm apart; 5 motions are the same')
    expect(comparisonText({ name: 'a.nc', path, changes: [moved, gone], sameMotions: 5, rewritten: 0 }, 1)).toContain('2 stretches run another way, some by a distance that is not known')
    expect([changeText(moved, 1), changeText(gone, 1)]).toEqual(['line 12: up to 0.250 mm apart', '2 motions gone'])
  })

  test('how far the axis has turned, where it has', () => {
    const leant = { ...moved, apart: { value: 1e-7, atMost: 1e-6 }, turned: { value: 0.5 * Math.PI / 180, atMost: 0.50001 * Math.PI / 180 } }
    expect(changeText(leant, 1)).toBe('line 12: axis turned by up to 0.500°')
    expect(changeText({ ...leant, apart: moved.apart }, 1)).toBe('line 12: up to 0.250 mm apart, axis turned by up to 0.500°')
    expect(comparisonText({ name: 'a.nc', path, changes: [leant], sameMotions: 5, rewritten: 0 }, 1)).toContain('the tool points no more than 0.001 mm apart, the axis turned by no more than 0.501°; 5 motions')
  })

  test('a mend: what it does, and what it would put in', () => {
    const other = { name: 'the mended program', mend: 'lift: 0.040 mm off the surface', path, sameMotions: 5, rewritten: 0 }
    expect(comparisonText({ ...other, changes: [moved] }, 1))
      .toBe('lift: 0.040 mm off the surface. In the mended program one stretch runs another way, the tool points no more than 0.251 mm apart; 5 motions are the same.')
    expect(comparisonText({ ...other, changes: [] }, 1)).toBe('lift: 0.040 mm off the surface. In the mended program every motion runs the same way (5 compared).')
    expect([changeText(gone, 1, true), changeText({ ...gone, old: gone.new, new: gone.old }, 1, true)]).toEqual(['2 motions put in', '2 motions left out'])
  })
})

describe('the caption of a kept picture', () => {
  test('says program, block, what is shown and as of when', () => {
    const { description } = sampleScene({ triangles: 400, segments: 60 })
    const state = { ...firstState, program: 'inlet.nc', scene: description, line: 20, finding: 1, cut: { plane: 'x' as const, shift: 0, turned: false } }
    const lines = captionLines(state, { motions: undefined }, '3 March')
    expect(lines[0]).toBe('inlet.nc, line 21')
    expect(lines.join('\n')).toContain('gouge: The cutter of T3 goes 0.031 ± 0.001 mm below the surface')
    expect(lines.join('\n')).toContain('Shown: part inlet.stl, tool, fixture clamp, stock before the first block (see-through), path with rapids, cut open, in parallel projection.')
    expect(lines.join('\n')).toContain('change 1; picture of 3 March.')
    expect(lines.at(-1)).toBe('A picture is no proof: the figures and what was not checked stand in the findings.')
  })

  test('is broken between words', () => {
    expect(wrapped('one two three', 7, words => words.length)).toEqual(['one two', 'three'])
    expect(wrapped('unbreakable', 3, words => words.length)).toEqual(['unbreakable'])
  })
})
