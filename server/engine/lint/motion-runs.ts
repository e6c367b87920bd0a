import type { MotionExtent } from '../../../shared/finding.ts'
import { blockOfMotion, type Toolpath } from '../../../shared/toolpath.ts'

/** Neighbouring motions with the same fault: one cause, one finding. */
export interface MotionRun {
  firstMotion: number
  lastMotion: number
  worstMotion: number
  /** The worst figure; greater is worse. */
  figure: number
  /** Blocks of the program that show the fault. */
  blocks: number
}

interface GrowingRun extends MotionRun {
  /** The blocks, each once, where blocks run several times. */
  readonly seen: Set<string> | undefined
}

/** A run goes on over as many faultless motions as this. */
const GAP = 8

/** Joins faults into runs; motions are given in order. */
export class MotionRuns {
  readonly #runs: GrowingRun[] = []
  readonly #toolpath: Toolpath

  constructor(toolpath: Toolpath) {
    this.#toolpath = toolpath
  }

  add(motion: number, figure: number): void {
    const run = this.#runs.at(-1), { pass, line } = this.#toolpath
    const block = pass === undefined ? '' : blockOfMotion(this.#toolpath, motion)
    if (run === undefined || motion - run.lastMotion > GAP) {
      this.#runs.push({ firstMotion: motion, lastMotion: motion, worstMotion: motion, figure, blocks: 1, seen: pass === undefined ? undefined : new Set([block]) })
      return
    }
    if (run.seen !== undefined) run.blocks = run.seen.add(block).size
    else if (line[motion] !== line[run.lastMotion]) run.blocks++
    run.lastMotion = motion
    if (figure > run.figure) {
      run.figure = figure
      run.worstMotion = motion
    }
  }

  /** In the order of their first motions. A block that runs several times belongs to one of them alone. */
  get runs(): readonly MotionRun[] {
    if (this.#toolpath.pass === undefined) return this.#runs
    const owners = new Map<string, GrowingRun>(), kept: GrowingRun[] = []
    for (const run of this.#runs) {
      const owner = [...run.seen ?? []].map(block => owners.get(block)).find(each => each !== undefined)
      for (const block of run.seen ?? []) if (!owners.has(block)) owners.set(block, owner ?? run)
      if (owner === undefined) kept.push(run)
      else merge(owner, run)
    }
    return kept
  }
}

function merge(into: GrowingRun, run: GrowingRun): void {
  for (const block of run.seen ?? []) into.seen?.add(block)
  into.blocks = into.seen?.size ?? into.blocks
  into.lastMotion = run.lastMotion
  if (run.figure <= into.figure) return
  into.figure = run.figure
  into.worstMotion = run.worstMotion
}

/** The blocks of a run as its finding keeps them. */
export function extentOf(run: MotionRun, toolpath: Toolpath): MotionExtent {
  const lines = toolpath.line.subarray(run.firstMotion, run.lastMotion + 1)
  return { firstLine: smallest(lines) + 1, lastLine: greatest(lines) + 1, figure: run.figure }
}

/** "; the worst of 12 blocks from N100 to N230", or nothing for a single block. */
export function runInWords(run: MotionRun, toolpath: Toolpath, nameOf: (line: number) => string): string {
  if (run.blocks === 1) return ''
  const lines = toolpath.line.subarray(run.firstMotion, run.lastMotion + 1)
  const isRepeated = toolpath.pass !== undefined
  const first = isRepeated ? smallest(lines) : lines[0] ?? 0, last = isRepeated ? greatest(lines) : lines.at(-1) ?? 0
  if (first === last) return `; the worst of ${run.blocks} blocks called in ${nameOf(first)}`
  return `; the worst of ${run.blocks} blocks from ${nameOf(first)} to ${nameOf(last)}`
}

function smallest(lines: Uint32Array): number {
  return lines.reduce((least, line) => Math.min(least, line), Infinity)
}

function greatest(lines: Uint32Array): number {
  return lines.reduce((most, line) => Math.max(most, line), 0)
}
