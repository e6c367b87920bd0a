import type { Cancellation } from '../../shared/cancellation.ts'
import type { CheckedMend } from '../edge/prove-mend.ts'
import { readProgram, resultFindings, resultInputOf, stockFindings, type Judged, type Scene } from '../engine/service.ts'
import type { Reading } from './reading.ts'

// What of a mended text is looked at beside its contact, which the mend itself has searched: text and motion, the stock, what is left.

/** What was found in the text as it stands, to be held against the mended one. */
export function judgedReading({ program, scene: { scene }, stockFindings: ofStock, measured }: Reading): Judged {
  return { program, findings: [...program.findings, ...ofStock, ...measured === undefined ? [] : resultFindings(program, scene, measured.result)] }
}

/** What still has to end before a mend can be held against it, as the start of a sentence; undefined where nothing has. */
export function unfinished({ complete, stockPending, stockLost, measured, unmeasured, program, scene: { scene } }: Reading): string | undefined {
  if (!complete) return 'The program is still being searched'
  if (stockPending && !stockLost) return 'The program is still being followed through the stock'
  return measured === undefined && unmeasured === undefined && resultInputOf(program, scene) !== undefined ? 'What the program leaves of the part is still being measured' : undefined
}

/** Whether what is unfinished ends by itself: not where no search runs, or has lost its threads. */
export function endsByItself(reading: Reading): boolean {
  return unfinished(reading) !== undefined && reading.notSearched === undefined && reading.failure === undefined && reading.lost.length === 0
}

/** Checks a mended text of a reading; undefined once nobody waits. `scene`: with its tools set up otherwise than the sheet has it. */
export async function checkMended(reading: Reading, text: string, cancellation: Cancellation, scene: Scene = reading.scene.scene): Promise<CheckedMend<undefined> | undefined> {
  const { scene: loaded, program: { path, programs } } = reading, isOther = scene !== loaded.scene
  const program = readProgram({ path, text }, scene, { cancellation, programs })
  if (!program.complete) return undefined
  const { mesh, obstacles } = await loaded.contact()
  const stock = reading.stock === undefined ? undefined : isOther ? await loaded.followOther(program, scene, cancellation) : await (await loaded.stock())?.thread.run(program, scene, cancellation)
  const left = reading.measured === undefined || mesh === undefined ? undefined : await loaded.measure(program, mesh, { cancellation, ...isOther ? {} : { earlier: reading.measuredFor(program) } }, scene)
  if (cancellation.cancelled()) return undefined
  const findings = [
    ...program.findings, ...stock === undefined ? [] : stockFindings(program, scene, stock), ...left === undefined ? [] : resultFindings(program, scene, left.result),
  ]
  return { judged: { program, findings }, lookedAt: { obstacles, stock: stock !== undefined, surface: left !== undefined }, checked: undefined }
}
