import { describe, expect, it } from 'vitest'
import type { Triple } from '../../shared/setup.ts'
import { unitsDoubt } from '../../server/engine/mesh/units-doubt.ts'

const min: Triple = [-40, -30, -50], max: Triple = [40, 30, 0]
const times = (corner: Triple, factor: number): Triple => [corner[0] * factor, corner[1] * factor, corner[2] * factor]
const doubt = (factor: number, programMin: Triple = [-35, -28, -48], programMax: Triple = [35, 28, 5]) => unitsDoubt(times(min, factor), times(max, factor), programMin, programMax, 'part.stl')

describe('a mesh whose size is off by a unit against the program', () => {
  it.each<[number, string, string]>([
    [25.4, 'part.stl is 2032 × 1524 × 1270 mm, about 27.3 times the size', 'write "units": "mm"'],
    [1 / 25.4, 'times smaller than the program\'s cutting moves (70 × 56 × 53 mm)', 'write "units": "inch"'],
    [1000, 'times the size of', 'looks like micrometres'],
    [0.001, 'times smaller', 'looks like metres'],
  ])('%d times', (factor, size, instead) => {
    const problem = doubt(factor)
    expect(problem?.rule).toBe('mesh-units-doubtful')
    expect(problem?.message).toContain(size)
    expect(problem?.message).toContain(instead)
  })

  it.each([1, 0.3, 3, 8, 0.13, 150, 0.006])('%d times is no slip of unit', factor => {
    expect(doubt(factor)).toBeUndefined()
  })

  it('a small pocket in a large part, off its middle, is no slip of unit', () => {
    expect(unitsDoubt([0, 0, -100], [1000, 600, 0], [800, 400, -10], [830, 430, 0])).toBeUndefined()
  })

  it.each<[string, Triple, Triple]>([
    ['a program that does not move', [0, 0, 0], [0, 0, 0]],
    ['a program without cutting moves', [Infinity, Infinity, Infinity], [-Infinity, -Infinity, -Infinity]],
    ['a program that could not be followed', [NaN, NaN, NaN], [NaN, NaN, NaN]],
  ])('%s gives no ground for doubt', (_, low, high) => {
    expect(doubt(25.4, low, high)).toBeUndefined()
  })

  it('a file that states its unit is not to be given another in the sheet', () => {
    const said = unitsDoubt([0, 0, 0], [40_000, 40_000, 10_000], [0, 0, 0], [40, 40, 10], 'part.glb', undefined, 'metres')?.message
    expect(said).toContain('the file says that it is in metres, and may have been written in another unit')
    expect(said).not.toContain('"units"')
  })
})
