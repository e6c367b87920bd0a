import { readFileSync } from 'node:fs'
import type { Machine } from '../../shared/machine.ts'
import { readMachine } from '../../server/engine/setup/read-machine.ts'

/** The machine files of samples/machines. */
export const families = ['table-table-ac', 'table-table-bc', 'head-b-table-c', 'fork-head-ca', 'fork-head-cb', 'nutating-head', 'nutating-table'] as const

export type Family = typeof families[number]

export function loadFamily(name: Family): { machine: Machine, problems: readonly string[] } {
  const path = `${name}.machine.json`
  const { machine, problems } = readMachine({ path, text: readFileSync(new URL(`../../samples/machines/${path}`, import.meta.url), 'utf8') })
  if (machine === undefined) throw new Error(`${path}: ${problems.map(problem => problem.message).join(' ')}`)
  return { machine, problems: problems.map(problem => problem.message) }
}

/** Joint number of a letter. */
export function jointOf(machine: Machine, letter: string): number {
  return machine.axes.findIndex(axis => axis.letter === letter)
}

/** Joint values by letter, linear in mm and rotary in degrees; the rest nought. */
export function jointsOf(machine: Machine, values: Readonly<Record<string, number>>): Float64Array {
  return Float64Array.from(machine.axes, axis => (values[axis.letter] ?? 0) * (axis.kind === 'rotary' ? Math.PI / 180 : 1))
}
