import type { Moment, MotionTable } from './geometry/motion-table.ts'
import { speeds } from './view-state.ts'

/** So long after a line has been told, the editor's news of it is taken for our own echo, ms. */
const ECHO = 1500

/** Blocks a second where nothing may glide, and where the program's motions take no time. */
const STEPS_PER_SECOND = 2

/** Where the program is `elapsed` seconds of the clock on, at `speed`; undefined at its end. */
export function advanced(table: MotionTable, from: Moment, elapsed: number, speed: number): Moment | undefined {
  const now = table.secondsAt(from)
  if (now >= table.duration) return undefined
  return table.momentAt(Math.min(table.duration, now + elapsed * speed))
}

/** The next faster or slower speed. */
export function otherSpeed(speed: number, direction: 1 | -1): number {
  const at = speeds.findIndex(one => one >= speed)
  return speeds[Math.min(speeds.length - 1, Math.max(0, at + direction))] ?? speed
}

/** The moment of the motions [first, last] that is nearest by `distance`. */
export function momentNearest({ first, last }: { readonly first: number, readonly last: number }, distance: (moment: Moment) => number): Moment {
  let best: Moment = { motion: last, t: 1 }, least = Infinity
  for (let motion = first; motion <= last; motion++) {
    for (let step = 0; step <= 32; step++) {
      const moment = { motion, t: step / 32 }
      const now = distance(moment)
      if (now < least) {
        least = now
        best = moment
      }
    }
  }
  return best
}

export interface PlayerEvents {
  readonly moved: (moment: Moment) => void
  /** The end of the program has been reached. */
  readonly ended: () => void
}

/** The clock: while it runs, one step for each picture of the screen; or block after block where motion is not wanted. */
export class Player {
  readonly #events: PlayerEvents
  readonly #still = window.matchMedia('(prefers-reduced-motion: reduce)')
  #running = false
  #last = 0

  constructor(events: PlayerEvents) {
    this.#events = events
  }

  /** `now`: what is to be advanced, asked for anew at each step. */
  run(now: () => { readonly table: MotionTable, readonly moment: Moment | undefined, readonly speed: number } | undefined): void {
    if (this.#running) return
    this.#running = true
    this.#last = performance.now()
    const tick = (time: number) => {
      if (!this.#running) return
      const to = now()
      const next = to === undefined ? undefined : this.#next(to, time)
      if (next === 'later') {
        requestAnimationFrame(tick)
      } else if (next === undefined) {
        this.stop()
        this.#events.ended()
      } else {
        this.#last = time
        this.#events.moved(next)
        requestAnimationFrame(tick)
      }
    }
    requestAnimationFrame(tick)
  }

  stop(): void {
    this.#running = false
  }

  #next({ table, moment, speed }: { readonly table: MotionTable, readonly moment: Moment | undefined, readonly speed: number }, time: number): Moment | undefined | 'later' {
    const elapsed = Math.max(0, time - this.#last) / 1000
    if (this.#still.matches || table.duration === 0) {
      return elapsed < 1 / STEPS_PER_SECOND ? 'later' : table.step(moment, 1)
    }
    // A page that was hidden for a minute does not jump by one.
    return advanced(table, moment ?? { motion: 0, t: 0 }, Math.min(elapsed, 0.25), speed)
  }
}

/** Tells the editor's news of lines that we have sent it to ourselves from those of a hand on its cursor. */
export class EchoFilter {
  readonly #told = new Map<number, number>()

  told(line: number, now: number): void {
    this.#told.set(line, now)
    for (const [old, time] of this.#told) {
      if (now - time > ECHO) this.#told.delete(old)
    }
  }

  /** Each line that was told comes back once. */
  isEcho(line: number, now: number): boolean {
    const time = this.#told.get(line)
    this.#told.delete(line)
    return time !== undefined && now - time <= ECHO
  }
}
