import { describe, expect, test } from 'vitest'
import { components } from '../../shared/finding.ts'
import type { Cutter, Tool } from '../../shared/setup.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { buildAssembly } from '../../server/engine/contact/assembly.ts'
import { PieceDistance } from '../../server/engine/geometry/piece-distance.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { signedDistance, twinSolids } from '../harness/twin-solid.ts'
import { randomTool } from './random-tool.ts'
import { toolOf } from './scene.ts'

const degree = Math.PI / 180

/** Radius of the cutter's edge at a height, by bisection of the signed distance. */
function radiusAt(cutter: Cutter, height: number): number {
  const piece = new PieceDistance(buildAssembly(toolOf(cutter)).shapes[0].pieces[0])
  let inside = 0, outside = 100
  while (outside - inside > 1e-12) {
    const middle = (inside + outside) / 2
    if (piece.at(middle, height) < 0) inside = middle
    else outside = middle
  }
  return inside
}

// The seven-parameter cutter statement (ISO 3592, construction): where its lines and arcs meet.
describe('the outlines of cutters', () => {
  const taper: Cutter = { shape: 'taper', RE: 3, BHTA: 5 * degree, DC: 2 * 6.248540, LCF: 40 }

  test('a taper ball of radius 3 and 5 degrees: flank from radius 2.988584 at 2.738533, 6.248540 at 40', () => {
    expect(radiusAt(taper, 2.738533)).toBeCloseTo(2.988584, 6)
    expect(radiusAt(taper, 40 - 1e-9)).toBeCloseTo(6.248540, 6)
    // Below the tangent point it is the ball, above it the cone.
    expect(radiusAt(taper, 2)).toBeCloseTo(Math.sqrt(9 - 1), 9)
    expect(radiusAt(taper, 20)).toBeCloseTo(2.988584 + (20 - 2.738533) * Math.tan(5 * degree), 5)
  })

  test('its flank meets the tip\'s plane at a diameter of 5.497987', () => {
    const [low, high] = [radiusAt(taper, 10), radiusAt(taper, 30)]
    expect(2 * (low - 10 * (high - low) / 20)).toBeCloseTo(5.497987, 6)
  })

  test('a drill of 10 mm and 118 degrees has a point 3.004303 high', () => {
    const drill: Cutter = { shape: 'drill', DC: 10, SIG: 118 * degree, LCF: 30 }
    expect(radiusAt(drill, 3.004303)).toBeCloseTo(5, 5)
    expect(radiusAt(drill, 3.004303 / 2)).toBeCloseTo(2.5, 5)
    expect(radiusAt(drill, 29)).toBeCloseTo(5, 9)
  })

  test('a bull nose of 10 mm with a corner of 1.5 mm', () => {
    const bull: Cutter = { shape: 'bull', DC: 10, RE: 1.5, LCF: 12 }
    expect(radiusAt(bull, 1e-12)).toBeCloseTo(3.5, 4)
    expect(radiusAt(bull, 0.75)).toBeCloseTo(3.5 + Math.sqrt(1.5 ** 2 - 0.75 ** 2), 9)
    expect(radiusAt(bull, 6)).toBeCloseTo(5, 9)
  })
})

describe('the programmed point', () => {
  const tool: Tool = { ...toolOf({ shape: 'ball', DC: 6, LCF: 10 }), LPR: 40, holder: [{ diameter: 20, topDiameter: 20, length: 30 }, { diameter: 50, topDiameter: 50, length: 15 }] }

  test('from the tip: heights from the tip, the gauge point above the whole holder', () => {
    const [cutter, , shank, holder] = buildAssembly(tool).shapes
    expect([cutter.pieces[0].bottom, cutter.pieces[0].top, shank.pieces[0].bottom, shank.pieces[0].top]).toEqual([0, 10, 10, 40])
    expect(holder.pieces.map(piece => [piece.bottom, piece.top])).toEqual([[40, 70], [70, 85]])
    expect(gaugeLength(tool)).toBe(85)
  })

  test('from the ball\'s centre: everything 3 mm lower', () => {
    const centred: Tool = { ...tool, point: 'centre' }, [cutter, , , holder] = buildAssembly(centred).shapes
    expect([cutter.pieces[0].bottom, cutter.pieces[0].top, holder.pieces[1].top]).toEqual([-3, 7, 82])
    expect(gaugeLength(centred)).toBe(82)
  })
})

// Cutters of one convex piece, which piece and twin have in common. What is made of several, or follows
// a hollow arc by chords, is held against the body as a whole in convex-cover.test.ts.
const onePiece = ['flat', 'ball', 'bull', 'taper', 'drill'] as const

describe('signed distance', () => {
  test.each(onePiece.map((shape, i) => [shape, 1200 + i] as const))('%s and what is above it, against the edge itself, seed %i', (shape, seed) => {
    const random = new SeededRandom(seed)
    for (let i = 0; i < 60; i++) {
      const tool = randomTool(random, shape), solids = twinSolids(tool)
      buildAssembly(tool).shapes.forEach(({ pieces }, c) => {
        const twins = solids[components[c]]
        expect(pieces.length).toBe(twins.length)
        pieces.forEach((outline, p) => {
          const piece = new PieceDistance(outline), { bottom, top, radius } = outline
          for (let n = 0; n < 30; n++) {
            const r = random.between(0, 1.5 * radius), h = random.between(bottom - radius, top + radius)
            const value = piece.at(r, h), { gr, gh } = piece
            expect(value).toBeCloseTo(signedDistance(twins[p], r, h), 9)
            expect(Math.hypot(gr, gh)).toBeCloseTo(1, 12)
            // Convex: above its tangents, in space and so for any place across from here.
            const x = random.between(-2, 2) * radius, y = random.between(-2, 2) * radius, z = random.between(bottom - radius, top + radius)
            expect(piece.at(Math.hypot(x, y), z)).toBeGreaterThanOrEqual(value + gr * (x - r) + gh * (z - h) - 1e-9)
            expect(-piece.inradius).toBeLessThanOrEqual(value)
          }
        })
      })
    }
  })
})
