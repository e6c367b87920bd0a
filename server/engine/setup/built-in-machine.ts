import type { Axis, Machine } from '../../../shared/machine.ts'
import type { Triple } from '../../../shared/setup.ts'
import { radians } from './fields.ts'
import { defaultControl } from './read-control.ts'

// The machine that is taken where a sheet names none: a table-table machine of ordinary size,
// A under C, X Y Z in the head, the rotary axes signed after ISO 841 (the table turns against the
// letter's sense, so that the tool turns with it relative to the work).

function linear(letter: string, direction: Triple, range: readonly [number, number]): Axis {
  return { letter, kind: 'linear', direction, through: [0, 0, 0], range, rapid: 24000 / 60, maxFeed: 10000 / 60, acceleration: 3 }
}

export const builtInMachine: Machine = {
  name: 'built-in table-table machine, A under C',
  axes: [
    linear('X', [1, 0, 0], [-300, 300]),
    linear('Y', [0, 1, 0], [-300, 300]),
    linear('Z', [0, 0, 1], [-100, 700]),
    {
      letter: 'A', kind: 'rotary', direction: [-1, 0, 0], through: [0, 0, -50],
      range: [radians(-110), radians(30)], rapid: radians(7200) / 60, maxFeed: radians(7200) / 60, acceleration: radians(1500),
    },
    {
      letter: 'C', kind: 'rotary', direction: [0, 0, -1], through: [0, 0, 0],
      rapid: radians(14400) / 60, maxFeed: radians(14400) / 60, acceleration: radians(3000),
    },
  ],
  table: [3, 4],
  head: [0, 1, 2],
  spindle: { gauge: [0, 0, 0], axis: [0, 0, 1] },
  home: [0, 0, 600, 0, 0],
  bodies: [],
  control: { ...defaultControl, rotaryTravel: { A: 'as-written', C: 'as-written' } },
}
