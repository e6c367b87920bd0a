import { describe, expect, test } from 'vitest'
import { SeededRandom } from '../harness/seeded-random.ts'
import { compareTexts } from './compare-texts.ts'
import { angle, denseMiddles, distance, frechet, waypointsOf, type Waypoint } from './dense-paths.ts'

// The comparison against a dense one of the same two paths, made from the words alone: what is said to be unchanged is,
// and no deviation is told smaller than two walkers on the paths must come apart.

/** Points of a path, and how their blocks are written. */
interface Written { readonly points: readonly Waypoint[], readonly feed: number, readonly speed: number }

function randomPath(random: SeededRandom): Waypoint[] {
  let at: Waypoint = { X: 0, Y: 0, Z: 10, A: -10, C: 0 }
  return Array.from({ length: random.whole(8, 40) }, () => {
    const turns = random.whole(0, 2) > 0
    at = {
      X: round(at.X + random.between(-6, 6)), Y: round(at.Y + random.between(-6, 6)), Z: round(at.Z + random.between(-3, 3)),
      A: turns ? round(Math.max(-60, Math.min(20, at.A + random.between(-4, 4)))) : at.A, C: turns ? round(at.C + random.between(-8, 8)) : at.C,
    }
    return at
  })
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000
}

function print({ points, feed, speed }: Written, random: SeededRandom, style: 'plain' | 'other'): string {
  let number = style === 'plain' ? 0 : random.whole(100, 900)
  const step = style === 'plain' ? 10 : random.whole(1, 7)
  const word = (letter: string, value: number) => {
    const text = style === 'other' && random.whole(0, 3) === 0 && value > 0 ? `${letter}+${value.toFixed(4)}` : `${letter}${value.toFixed(3)}`
    return style === 'other' && random.whole(0, 3) === 0 ? text.toLowerCase() : text
  }
  const block = (text: string) => {
    number += step
    const blanks = style === 'other' && random.whole(0, 2) === 0 ? text.replaceAll(' ', '') : text
    const comment = style === 'other' && random.whole(0, 4) === 0 ? ` (${random.pick(['ROUGH', 'X99', 'CHECKED'])})` : ''
    return `${style === 'other' && random.whole(0, 5) === 0 ? '' : `N${number} `}${blanks}${comment}`
  }
  const [first, ...rest] = points
  const all = (point: Waypoint) => (['X', 'Y', 'Z', 'A', 'C'] as const).map(letter => word(letter, point[letter])).join(' ')
  const lines = [
    block('G21 G17 G40 G49 G54 G80 G90 G94'), block('T1 M6'), block(`S${speed} M3`),
    block(`G43.4 H1 G0 ${first === undefined ? '' : all(first)}`), block(`G1 F${feed}.`),
    ...rest.map(point => block(all(point))),
    block('G49'), block('M5'), block('M30'),
  ]
  return lines.join(style === 'other' ? '\r\n' : '\n')
}

type Edit = (points: Waypoint[], random: SeededRandom) => Waypoint[]
const replaced = (points: readonly Waypoint[], at: number, ...by: Waypoint[]) => [...points.slice(0, at), ...by, ...points.slice(at + 1)]

/** Each changes the way; the last one writes the same way in other blocks. */
const edits: Readonly<Record<string, Edit>> = {
  move: (points, random) => {
    const at = random.whole(1, points.length - 2), letter = random.pick(['X', 'Y', 'Z'] as const)
    return replaced(points, at, { ...points[at], [letter]: round(points[at][letter] + random.pick([0.01, 0.03, 0.2, 1.5, -4])) })
  },
  lean: (points, random) => {
    const at = random.whole(1, points.length - 2), letter = random.pick(['A', 'C'] as const)
    return replaced(points, at, { ...points[at], [letter]: round(points[at][letter] + random.pick([0.05, -0.5, 2, 9])) })
  },
  remove: (points, random) => replaced(points, random.whole(1, points.length - 2)),
  removeSome: (points, random) => {
    const at = random.whole(1, points.length - 5)
    return [...points.slice(0, at), ...points.slice(at + random.whole(2, 3))]
  },
  insert: (points, random) => {
    const at = random.whole(1, points.length - 2), near = points[at]
    return replaced(points, at, { ...near, X: round(near.X + random.between(-3, 3)), Z: round(near.Z + random.between(-2, 2)) }, near)
  },
  double: (points, random) => {
    const at = random.whole(1, points.length - 2)
    return replaced(points, at, points[at], points[at])
  },
}

describe('500 random edits', () => {
  for (const seed of [501, 502, 503, 504, 505]) {
    test(`agree with the dense comparison, seed ${seed}`, () => {
      const random = new SeededRandom(seed)
      let generous = 0
      for (let n = 0; n < 100; n++) {
        const points = randomPath(random), names = Array.from({ length: random.whole(0, 3) }, () => random.pick(Object.keys(edits)))
        const edited = names.reduce((list, name) => edits[name](list, random), points)
        const old = print({ points, feed: 800, speed: 9000 }, random, 'plain')
        const feed = random.pick([800, 800, 900]), speed = random.pick([9000, 9000, 8000])
        const now = print({ points: edited, feed, speed }, random, random.pick(['plain', 'other']))
        const told = `${names.join(', ')}\n${old}\n---\n${now}`

        const dense = denseMiddles(waypointsOf(old), waypointsOf(now), 600)
        const apart = frechet(dense.old, dense.now, distance)
        const lean = frechet(dense.old, dense.now, angle)
        const comparison = compareTexts(old, now)
        const point = Math.max(0, ...comparison.changes.map(({ tool }) => tool?.point.atMost ?? Number.NaN))
        const axis = Math.max(0, ...comparison.changes.map(({ tool }) => tool?.axis.atMost ?? Number.NaN))
        const way = Math.max(0, ...comparison.changes.map(({ tool }) => tool?.point.value ?? Number.NaN))
        // Never less than the paths come apart; the dense figure is too large by its spacing at most.
        expect(point, told).toBeGreaterThanOrEqual(apart - dense.spacing - 1e-6)
        expect(axis, told).toBeGreaterThanOrEqual(lean - 0.02)
        if (way > 1.3 * (apart + dense.spacing) + 0.01) generous++
        // A path that is the same point by point has no change; any other has one.
        if (names.length === 0) expect([comparison.changes, comparison.rewritten], told).toEqual([[], 0])
        if (apart > dense.spacing) expect(comparison.changes.length, told).toBeGreaterThan(0)
        const kinds = comparison.states.map(({ kind }) => kind)
        expect([kinds.includes('feed'), kinds.includes('spindle')], told).toEqual([feed !== 800, speed !== 9000])
        expect(kinds.filter(kind => kind !== 'feed' && kind !== 'spindle'), told).toEqual([])
        expect(comparison.words, told).toEqual({ gone: [], new: [] })
      }
      // Corners that belong to each other by their words are held against each other, so that a figure may be larger than the
      // least possible; not often.
      expect(generous).toBeLessThan(15)
    }, 120_000)
  }
})
