import type { ModalState } from '../machine/modal-state.ts'

/** What is in force while a motion runs, besides where it goes. */
export type MotionState = Readonly<Pick<ModalState,
  'tool' | 'lengthOffset' | 'workOffset' | 'speed' | 'spindle' | 'coolant' | 'feed' | 'feedMode' | 'unit' | 'toolCentre' | 'radiusCompensation'>>

const keys = [
  'tool', 'lengthOffset', 'workOffset', 'speed', 'spindle', 'coolant', 'feed', 'feedMode', 'unit', 'toolCentre', 'radiusCompensation',
] as const satisfies readonly (keyof MotionState)[]

/** The state of every motion, kept once for each change of it. Filled while a program runs. */
export class MotionStates {
  readonly #records: MotionState[] = []
  #ofMotion = new Uint32Array(1024)
  /** Record of each line's last run; radius compensation makes the motion of a block when the next one is read. */
  readonly #ofLine = new Map<number, number>()
  #count = 0

  /** Motions [first, end) came out when the block on this line ran; -1: a block of a called file. */
  see(state: Readonly<ModalState>, line: number, first: number, end: number): void {
    const record = this.#recordOf(state)
    if (line >= 0 && state.radiusCompensation !== undefined && state.radiusCompensation !== 40) this.#ofLine.set(line, record)
    if (end > this.#ofMotion.length) {
      const larger = new Uint32Array(Math.max(end, this.#ofMotion.length * 2))
      larger.set(this.#ofMotion)
      this.#ofMotion = larger
    }
    this.#ofMotion.fill(record, Math.max(first, this.#count), end)
    this.#count = Math.max(this.#count, end)
  }

  /** `line`: of the block that asked for the motion. */
  of(motion: number, line: number): MotionState | undefined {
    if (motion >= this.#count) return undefined
    return this.#records[this.#ofLine.get(line) ?? this.#ofMotion[motion] ?? 0]
  }

  #recordOf(state: Readonly<ModalState>): number {
    const last = this.#records.at(-1)
    if (last !== undefined && keys.every(key => Object.is(last[key], state[key]))) return this.#records.length - 1
    const { tool, lengthOffset, workOffset, speed, spindle, coolant, feed, feedMode, unit, toolCentre, radiusCompensation } = state
    return this.#records.push({ tool, lengthOffset, workOffset, speed, spindle, coolant, feed, feedMode, unit, toolCentre, radiusCompensation }) - 1
  }
}
