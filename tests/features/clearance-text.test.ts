import { describe, expect, it } from 'vitest'
import { clearanceText, clearancesOf, type Clearance } from '../../server/engine/features/clearance-text.ts'

// Order of the components: cutter, neck, shank, holder.

describe('clearance of a block', () => {
  it('is the interval that holds the smallest distance of all its motions', () => {
    const known = clearancesOf([
      { value: [0.010, 0.5, Infinity, Infinity], certified: [0.008, 0.4, 2, 5] },
      { value: [-0.006, 0.7, Infinity, 4], certified: [-0.010, 0.6, 2, 3.8] },
    ])
    expect(known?.map(one => one.component)).toEqual(['cutter', 'neck', 'shank', 'holder'])
    const [cutter, neck, shank, holder] = known as [Clearance, Clearance, Clearance, Clearance]
    expect(cutter.value).toBeCloseTo(-0.008, 12)
    expect(cutter.bound).toBeCloseTo(0.002, 12)
    expect(neck.value).toBeCloseTo(0.45, 12)
    expect(shank).toEqual({ component: 'shank', value: 2, bound: 0, beyond: true })
    // The first motion proves 5 and the second attains 4: the smallest of both lies from 3.8 to 4.
    expect(holder.value).toBeCloseTo(3.9, 12)
    expect(holder.bound).toBeCloseTo(0.1, 12)
  })

  it('leaves out what the tool does not have', () => {
    const known = clearancesOf([{ value: [1, Infinity, Infinity, Infinity], certified: [1, Infinity, Infinity, Infinity] }])
    expect(known?.map(one => one.component)).toEqual(['cutter'])
  })

  it('claims nothing of a block with a motion that was not searched', () => {
    expect(clearancesOf([
      { value: [1, 1, 1, 1], certified: [1, 1, 1, 1] },
      { value: [Infinity, Infinity, Infinity, Infinity], certified: [-Infinity, -Infinity, -Infinity, -Infinity] },
    ])).toBeUndefined()
  })

  it.each([
    [{ component: 'cutter', value: -0.008, bound: 0.001, beyond: false }, 1, 'cutter: 0.008 mm deep (±0.001)'],
    [{ component: 'neck', value: 0.42, bound: 0.001, beyond: false }, 1, 'neck: 0.420 mm clear (±0.001)'],
    // A bound is rounded up, and never nought: half a thousandth and less is one.
    [{ component: 'neck', value: 0.42, bound: 0.0004, beyond: false }, 1, 'neck: 0.420 mm clear (±0.001)'],
    [{ component: 'neck', value: 0.42, bound: 5e-10, beyond: false }, 1, 'neck: 0.420 mm clear (±0.001)'],
    [{ component: 'neck', value: 0.42, bound: 0.0011, beyond: false }, 1, 'neck: 0.420 mm clear (±0.002)'],
    [{ component: 'neck', value: 0.254, bound: 0.001, beyond: false }, 25.4, 'neck: 0.0100 inch clear (±0.0001)'],
    [{ component: 'holder', value: 5, bound: 0, beyond: true }, 1, 'holder: more than 5.000 mm clear'],
    [{ component: 'neck', value: 0.254, bound: 0.00254, beyond: false }, 25.4, 'neck: 0.0100 inch clear (±0.0001)'],
  ] as const)('reads as a sentence: %o', (clearance, unit, words) => {
    expect(clearanceText(clearance, unit)).toBe(words)
  })
})
