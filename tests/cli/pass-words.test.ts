import { expect, test } from 'vitest'
import { passWords } from '../../server/cli/record/pass-words.ts'
import { openScene } from '../../server/engine/service.ts'
import type { Pass } from '../../shared/setup.ts'

/** The passes of a sheet as it is read, in words. */
function wordsOf(passes: readonly object[]): string[] {
  const text = JSON.stringify({ part: { mesh: 'part.stl' }, barriers: [{ name: 'floor', mesh: 'floor.stl' }], passes, tools: [] })
  const read: readonly Pass[] = openScene({ path: 'a.setup.json', text }, undefined).setup?.passes ?? []
  return read.map(passWords)
}

test('everything that a pass states is in its words, and a pass that states nothing says so', () => {
  const [plan, other, bare] = wordsOf([
    {
      from: 'N100', to: 'N4690', barriers: ['floor'],
      mend: [{ by: 'lift', allow: 0.01 }, { by: 'end-at', barrier: 'floor' }, { by: 'lean', components: ['shank'], clearance: 0.15 }, { by: 'aim', point: [0, 0, 25] }, { by: 'ease' }],
    },
    { tools: [1, 3], limits: { gouge: 0.02, axisStep: 4 }, axisThrough: { point: [0, 0, 25], within: 0.5 }, oneWay: true },
    { tools: [2] },
  ])
  expect(plan).toBe('all tools, blocks N100 to N4690: barrier "floor" not to be crossed; corrections that a mend makes, in order: '
    + 'lift leaving cuts up to 0.010 mm deep, then end-at "floor", then lean for shank, to 0.150 mm clear, then aim at (0 0 25), then ease')
  expect(other).toBe('tool 1, 3: gouge 0.020 mm; axis step 4°; tool axis through (0 0 25) within 0.500 mm; the path may not reverse')
  expect(bare).toBe('tool 2: nothing else is stated')
})
