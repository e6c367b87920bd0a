import type { Cancellation } from '../../shared/cancellation.ts'
import { MotionPose } from '../../shared/motion-pose.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { rateExcess, WorstRate } from './lint/joint-rate.ts'
import { isFeedMotion } from './lint/program-pose.ts'
import type { Choice } from './mend/choose-steps.ts'
import type { MendWork } from './mend/try-steps.ts'
import type { WantedMotion } from './mend/write-blocks.ts'
import { motionsBetweenLooks } from './mend-aims.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

/** A feed move that asks an axis for more than it has, and how many times more. */
export interface FastMotion { readonly motion: number, readonly ratio: number }

/** Blocks between two that are slowed that are told together. */
const ownPlace = 8

/** Ends early, with what there is, once cancelled. */
export function fastMotions({ toolpath, kinematics }: ReadProgram, { machine, setup, usable }: Scene, cancellation: Cancellation): FastMotion[] {
  if (!usable) return []
  const pose = new MotionPose(kinematics, toolpath, setup?.tools.map(gaugeLength) ?? []), worst = new WorstRate(machine, toolpath), fast: FastMotion[] = []
  for (let motion = 0; motion < toolpath.count; motion++) {
    if (motion % motionsBetweenLooks === 0 && cancellation.cancelled()) break
    if (!isFeedMotion(toolpath, motion) || !((toolpath.seconds[motion] ?? 0) > 0)) continue
    const ratio = worst.ratio(pose, motion, kinematics.rotary)
    if (ratio > rateExcess) fast.push({ motion, ratio })
  }
  return fast
}

/** Slows the blocks that no axis can follow to the feed that it can: each by itself, and the next block has its own feed again. */
export function easeFeeds(fast: readonly FastMotion[], { runs, frames, machine }: MendWork): Choice[] {
  const isSeconds = machine.control.inverseTime === 'seconds'
  const places: FastMotion[][] = []
  for (const each of fast) {
    const open = places.at(-1)
    if (open !== undefined && each.motion - (open.at(-1)?.motion ?? 0) <= ownPlace) open.push(each)
    else places.push([each])
  }
  return places.map((place): Choice => {
    const span = { first: place[0]?.motion ?? 0, last: place.at(-1)?.motion ?? 0, faults: [], isFast: true }
    const wanted = new Map<number, WantedMotion>(), rejected: string[] = []
    for (const { motion, ratio } of place) {
      const run = runs.of(motion), feed = run?.after.feed
      if (run === undefined || feed === undefined || run.endMotion - run.firstMotion !== 1 || run.unwritable !== undefined) {
        rejected.push(`ease: ${run?.unwritable ?? runs.fixed(motion) ?? 'the block has no feed of its own'}`)
        continue
      }
      // In inverse time a smaller F is a longer time, but where F is the time itself.
      const counts = 10 ** frames.decimals('F'), slow = run.after.feedMode === 93 && isSeconds ? Math.ceil(feed * ratio * counts) / counts : Math.floor(feed / ratio * counts) / counts
      if (slow > 0) wanted.set(motion, { parts: [], end: undefined, feed: slow })
      else rejected.push('ease: the feed would be nought with the decimals of the program')
    }
    const least = 1 / Math.max(...place.map(({ ratio }) => ratio))
    const steps = [{ step: { by: 'ease' as const, span: { start: 0, end: 0 } }, most: least }]
    return { span, rejected, attempt: wanted.size === 0 ? undefined : { steps, wanted, remaining: [], figures: [], standing: 0, stays: rejected } }
  })
}
