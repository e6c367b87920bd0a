import { buildKinematics } from '../../shared/kinematics.ts'
import { interpretAgain } from '../../server/engine/machine/interpret-again.ts'
import { interpret, type InterpretInput, type Interpretation } from '../../server/engine/machine/interpreter.ts'
import { readProgram, type ReadProgram, type Scene } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { boreProgram } from './bore.ts'
import { readMemory } from './memory.ts'
import { ratesOf, secondsFor } from './measure.ts'
import type { Row } from './report.ts'

const seed = 2026

/** Reading and running five-axis finishing without rules, and doing so again after an edit; beside what any reader has to do. */
export async function readingRows(blocks: number, runs: number, scene: Scene): Promise<Row[]> {
  const { machine, setup } = scene
  const kinematics = buildKinematics(machine, machine.axes.map(axis => setup?.offsets[setup.baseOffset]?.[axis.letter] ?? 0))
  const input: InterpretInput = { machine, setup, kinematics, report: () => undefined }
  const text = boreProgram(blocks), units = text.split('\n').length
  const reading = await ratesOf(runs, { units, work: () => interpret(text, input) }, { units, work: () => text.split('\n').length })
  return [
    { name: 'reading and interpreting, one thread', unit: 'blocks/s', better: 'higher', ...reading.ours, peer: { name: 'splitting into lines', value: reading.peer.median } },
    readMemory(interpret(text, input), text),
    await editRow<Interpretation>('read again', boreProgram(blocks / 10), { read: (text, run) => run === undefined ? interpret(text, input) : interpretAgain(run, text, input) }),
    await editRow<ReadProgram>('all findings of the text', boreProgram(blocks / 10), { read: (text, earlier) => readProgram({ path: 'bore.nc', text }, scene, { earlier }) }),
  ]
}

/** How a text is read, with what the reading of the text before an edit came to. */
interface Reading<T> { readonly read: (text: string, earlier?: T) => T }

/** One word in a block anywhere is another, and back again. */
async function editRow<T>(what: string, text: string, { read }: Reading<T>): Promise<Row> {
  const random = new SeededRandom(seed), lines = text.split('\n'), edits = 20
  let run = read(text)
  const edit = () => {
    for (let n = 0; n < edits; n++) {
      const line = random.whole(20, lines.length - 20), before = lines[line]
      lines[line] = before.replace(/X(-?\d)/, 'X1$1')
      const other = lines.join('\n')
      run = read(other, run)
      lines[line] = before
      run = read(text, run)
    }
  }
  const join = () => {
    for (let n = 0; n < edits; n++) lines.join('\n')
  }
  // Putting the text together is the editor's own work: its time is taken off.
  const { ours, peer } = await ratesOf(5, { units: 2 * edits, work: edit }, { units: 2 * edits, work: join })
  const fresh = await ratesOf(5, { units: 1, work: () => read(text) }, { units: 1, work: () => undefined })
  const off = secondsFor(peer).median * 1000, all = secondsFor(ours)
  return {
    name: `one edited block of ${lines.length - 1}, ${what}`, unit: 'ms', better: 'lower',
    median: all.median * 1000 - off, low: all.low * 1000 - off, high: all.high * 1000 - off,
    peer: { name: 'reading it as a whole', value: secondsFor(fresh.ours).median * 1000 },
  }
}
