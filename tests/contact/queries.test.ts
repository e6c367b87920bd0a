import { expect, test } from 'vitest'
import { SeededRandom } from '../harness/seeded-random.ts'
import { askQueries } from '../prove/queries.ts'
import { newRecord, Tally } from '../prove/tally.ts'

// The first cases of `npm run prove -- --seed 7001`, some 5,000 queries of the million.

const firstSeed = 7001, cases = 60
const tally = new Tally(newRecord(firstSeed))

test(`seeds ${firstSeed} to ${firstSeed + cases - 1}: triangles by themselves and all at once, against brute force`, () => {
  expect(Array.from({ length: cases }, (_, i) => askQueries(new SeededRandom(firstSeed + i), tally).map(fault => `case ${firstSeed + i}, ${fault}`)).flat()).toEqual([])
  expect(tally.queries).toBeGreaterThan(4000)
  console.log(tally.text())
})

// Each was told wrong once: a second piece of the cutter is deeper within the width; an outline turns inward; the plane of a large
// facet, square to the axis, lies far off the middle of its box, and the search gave up with nothing found 4 mm deep.
test.each([1959, 4599, 1005206])('case %i', seed => {
  const own = new Tally(newRecord(seed))
  expect(askQueries(new SeededRandom(seed), own)).toEqual([])
  expect(own.queries).toBeGreaterThan(0)
})
