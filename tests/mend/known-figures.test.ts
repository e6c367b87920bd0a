import { expect, test } from 'vitest'
import { neverCancelled } from '../../shared/cancellation.ts'
import { KnownFigures } from '../../server/engine/contact/known-figures.ts'
import { Stretch } from '../../server/engine/correction/stretch.ts'
import { defaultEpsilon, searchInputOf } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { head, Job, joinMeshes, sheetOfMesh } from './job.ts'

// A motion that comes again is not searched again: what is remembered is what a fresh search says, to the last bit.

const seed = 20261127
const job = new Job({
  program: `${head('X-20. Y0. Z8. A0. C0.')}N80 G1 Z3. F500\nN85 X-10. A-5.\nN90 X0. Z2.9\nN95 X10. A0.\nN100 G0 Z8.\nN105 X-20.\nN106 G1 Z3.\nN107 X-10. A-5.\nN110 X30.\nN120 M30\n%\n`,
  tool: { cutter: { shape: 'ball', DC: 6, LCF: 10 }, shank: { DCONMS: 8 }, LPR: 60, holder: [{ diameter: 20, length: 20 }], point: 'centre' },
  limits: { gouge: 0.01, clearance: { shank: 1, neck: 1, holder: 2, rapid: 3 } },
  mesh: joinMeshes(sheetOfMesh([0, 0, 0], [40, 0, 0], [0, 30, 0]), sheetOfMesh([0, 5, 20], [40, 0, 0], [0, 0, 20])),
  barriers: [{ name: 'stop', corners: sheetOfMesh([9, 0, 0], [0, 20, 0], [0, 0, 20]) }],
})

test(`stretches that are moved, parted and held against other limits, 60 rounds (seed ${seed})`, () => {
  const search = searchInputOf(job.program, job.scene, defaultEpsilon), random = new SeededRandom(seed), known = new KnownFigures()
  if (search === undefined) throw new Error('nothing to search')
  const make = (memory: KnownFigures | undefined) => new Stretch(search, { part: job.mesh, obstacles: job.obstacles }, 2, 8, () => undefined, () => true, neverCancelled, memory, memory === undefined ? undefined : job.figures)
  let searched = make(known), fresh = make(undefined)
  for (let round = 0; round < 60; round++) {
    if (round % 12 === 0) [searched, fresh] = [make(known), make(undefined)]
    const at = random.whole(2, searched.count - 1), by = random.between(-0.2, 0.2), gouge = random.pick([0.01, 0.02]), time = random.between(0.2, 0.8), parts = random.whole(0, 5) === 0
    for (const stretch of [searched, fresh]) {
      stretch.limitTo(limits => ({ ...limits, gouge }))
      if (parts) stretch.part(at, time)
      else stretch.jointsOf(stretch.path, at)[round % 3] += by
    }
    const [a, b] = [searched, fresh].map(stretch => stretch.search(1, stretch.count - 1))
    expect(a).toEqual(b)
    expect(searched.faults(a)).toEqual(fresh.faults(b))
  }
})

test('what was broken off is not remembered', () => {
  const search = searchInputOf(job.program, job.scene, defaultEpsilon), known = new KnownFigures()
  if (search === undefined) throw new Error('nothing to search')
  let isOff = true
  const stretch = new Stretch(search, { part: job.mesh, obstacles: job.obstacles }, 2, 8, () => undefined, () => true, { cancelled: () => isOff }, known)
  expect(stretch.search(1, 5).value.every(value => value === Infinity)).toBe(true)
  isOff = false
  expect(stretch.search(1, 5).value.some(value => value < 1)).toBe(true)
})
