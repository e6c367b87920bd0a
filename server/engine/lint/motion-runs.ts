import type { Toolpath } from '../../../shared/toolpath.ts'

/** Neighbouring motions with the same fault: one cause, one finding. */
export interface MotionRun {
  readonly firstMotion: number
  lastMotion: number
  worstMotion: number
  /** The worst figure; greater is worse. */
  figure: number
  /** Blocks of the program that show the fault. */
  blocks: number
}

/** A run goes on over as many faultless motions as this. */
const GAP = 8

/** Joins faults into runs; motions are given in order. */
export class MotionRuns {
  readonly runs: MotionRun[] = []
  readonly #toolpath: Toolpath

  constructor(toolpath: Toolpath) {
    this.#toolpath = toolpath
  }

  add(motion: number, figure: number): void {
    const run = this.runs.at(-1)
    if (run === undefined || motion - run.lastMotion > GAP) {
      this.runs.push({ firstMotion: motion, lastMotion: motion, worstMotion: motion, figure, blocks: 1 })
      return
    }
    if (this.#toolpath.line[motion] !== this.#toolpath.line[run.lastMotion]) run.blocks++
    run.lastMotion = motion
    if (figure > run.figure) {
      run.figure = figure
      run.worstMotion = motion
    }
  }
}

/** "; the worst of 12 blocks from N100 to N230", or nothing for a single block. */
export function runInWords(run: MotionRun, toolpath: Toolpath, nameOf: (line: number) => string): string {
  if (run.blocks === 1) return ''
  const first = toolpath.line[run.firstMotion] ?? 0, last = toolpath.line[run.lastMotion] ?? 0
  return `; the worst of ${run.blocks} blocks from ${nameOf(first)} to ${nameOf(last)}`
}
