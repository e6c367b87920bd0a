import type { Sink } from './terminal.ts'

/** A check shorter than this shows no progress: a line that flashes by tells nobody anything. */
const QUIET_MILLISECONDS = 1000

/** Shortest time between two drawings. */
const REDRAW_MILLISECONDS = 100

export interface ProgressLine {
  /** `share` of the work done, 0 to 1; `blocks` done so far. */
  readonly show: (step: { readonly doing: string, readonly share: number, readonly blocks?: number }) => void
  /** Wipes the line, so that what follows stands at the start of a clean one. */
  readonly clear: () => void
}

export const noProgressLine: ProgressLine = { show: () => undefined, clear: () => undefined }

/** One line on the terminal, written over and over. `now`: milliseconds of a clock that never goes back. */
export function startProgressLine(sink: Sink, now: () => number): ProgressLine {
  const started = now()
  let drawn = -Infinity
  let visible = false
  return {
    show: ({ doing, share, blocks }) => {
      const time = now()
      if (time - started < QUIET_MILLISECONDS || time - drawn < REDRAW_MILLISECONDS) return
      drawn = time
      visible = true
      const rate = blocks === undefined ? '' : `, ${Math.round(blocks / (time - started) * 1000).toLocaleString('en-US')} blocks/s`
      // Carriage return, then erase to the end of the line (ECMA-48 EL).
      void sink.write(`\r\u001b[K${doing}: ${Math.floor(share * 100)} %${rate}`)
    },
    clear: () => {
      if (visible) void sink.write('\r\u001b[K')
      visible = false
    },
  }
}
