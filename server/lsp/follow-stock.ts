import { neverCancelled } from '../../shared/cancellation.ts'
import { sentenceOf } from '../../shared/protocol/channel.ts'
import { lostStock } from '../edge/lost-findings.ts'
import { stockFindings } from '../engine/service.ts'
import type { Log } from './guard.ts'
import type { Reading } from './reading.ts'
import { spareWords } from './status-words.ts'
import type { Turn } from './turn.ts'

/** Runs the program through the stock of its sheet, beside the search: a fault of the one does not end the other. */
export async function followStock(turn: Turn, reading: Reading, log: Log): Promise<void> {
  const { program, scene, notSearched } = reading
  if (scene.scene.setup?.stock === undefined || !scene.scene.usable || notSearched === spareWords.off || notSearched === spareWords.untilSaved) return
  reading.stockPending = true
  try {
    const stock = await scene.stock()
    if (stock === undefined || turn.isStale()) return
    // What is filled serves every text of the program: no edit breaks it off.
    const opened = await stock.thread.open(neverCancelled)
    const figures = await stock.thread.run(program, scene.scene, { cancelled: turn.isStale })
    if (turn.isStale()) return
    reading.stock = figures
    reading.stockFindings = [...stock.findings, ...opened.findings, ...figures === undefined ? [] : stockFindings(program, scene.scene, figures)]
    // Stock that cannot be used is no longer waited for.
    reading.stockPending = figures === undefined && opened.isUsable
  } catch (error) {
    if (turn.isStale()) return
    log(`The stock was not followed: ${sentenceOf(error)}`)
    reading.stockFindings = [lostStock(error)]
    reading.stockLost = true
  }
  turn.publish(reading)
}
