import { parentPort } from 'node:worker_threads'
import type { Cancellation } from '../../shared/cancellation.ts'
import { mendReport, openMesh, openObstacles, readProgram, SceneSearcher, type ContactFigures, type MendReport } from '../engine/service.ts'
import { CalledPrograms } from './called-programs.ts'
import { Control, type FromWorker, type ToWorker } from './contact-protocol.ts'

// One thread of the contact pool. It holds nothing between questions: meshes and motions lie on
// shared memory, and a search that is no longer wanted is told so by a flag there, because a thread
// at work does not hear messages.

if (parentPort === null) throw new Error('the contact worker runs as a worker thread only')
const port = parentPort

const say = (message: FromWorker, transfer: ArrayBuffer[] = []) => port.postMessage(message, transfer)

port.on('message', (message: ToWorker) => {
  try {
    answer(message)
  } catch (error) {
    say({ say: 'failed', id: message.id, message: error instanceof Error ? error.stack ?? error.message : String(error) })
  }
})

function answer(message: ToWorker): void {
  const { id } = message
  if (message.ask === 'open-meshes') {
    const { mesh, findings } = openMesh(message.part, message.scene)
    const others = openObstacles(mesh === undefined ? [] : message.others, message.scene)
    say({ say: 'meshes', id, opened: { mesh, obstacles: others.obstacles, findings: [...findings, ...others.findings] } })
    return
  }
  const { control, meshes } = message
  const cancellation = { cancelled: () => Atomics.load(control, Control.cancelled) !== 0 }
  if (message.ask === 'mend') {
    say({ say: 'mended', id, report: mend(message, cancellation, (done, total) => say({ say: 'progress', id, done, total })) })
    return
  }
  const { input } = message
  const searcher = new SceneSearcher(input, meshes, cancellation)
  if (message.ask === 'farthest') {
    say({ say: 'farthest', id, figure: searcher.searchFarthest(message.tool, message.component) })
    return
  }
  const { runs } = message
  for (;;) {
    const run = Atomics.add(control, Control.next, 1)
    if (run * 2 >= runs.length || cancellation.cancelled()) break
    const figures = searcher.searchRun(runs[run * 2] ?? 0, runs[run * 2 + 1] ?? 0)
    // A run that was broken off is not told: half of it would look as if it had been searched.
    if (cancellation.cancelled()) break
    say({ say: 'run', id, figures }, buffersOf(figures))
  }
  say({ say: 'searched', id })
}

/** The program is read again here: what was read elsewhere holds more than can be handed over. */
function mend({ program: { path, text, sheetPath }, scene, meshes, figures, options }: ToWorker & { ask: 'mend' }, cancellation: Cancellation, onProgress: (done: number, total: number) => void): MendReport | undefined {
  const program = readProgram({ path, text }, scene, { cancellation, programs: new CalledPrograms(path, sheetPath).find })
  return mendReport({ program, scene, mesh: meshes.part, obstacles: meshes.obstacles, figures, ...options, cancellation, onProgress })
}

function buffersOf({ value, certified, time, point }: ContactFigures): ArrayBuffer[] {
  return [value.buffer, certified.buffer, time.buffer, point.buffer].filter(buffer => buffer instanceof ArrayBuffer)
}
