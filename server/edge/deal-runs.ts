import { motionsPerRun } from '../engine/service.ts'

/** Motions [first, first + count) of a program. */
export interface MotionRun { readonly first: number, readonly count: number }

/** Cuts runs into pieces of a size to be dealt, those nearest to the motion `around` first. */
export function dealRuns(runs: readonly MotionRun[], around = 0): MotionRun[] {
  const dealt = runs.flatMap(({ first, count }) =>
    Array.from({ length: Math.ceil(count / motionsPerRun) }, (_, i): MotionRun => ({ first: first + i * motionsPerRun, count: Math.min(motionsPerRun, count - i * motionsPerRun) })))
  const distance = ({ first, count }: MotionRun) => around < first ? first - around : Math.max(0, around - first - count + 1)
  return dealt.sort((a, b) => distance(a) - distance(b) || a.first - b.first)
}
