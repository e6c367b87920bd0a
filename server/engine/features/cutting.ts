import { MotionPose } from '../../../shared/motion-pose.ts'
import { partToMachine } from '../../../shared/kinematics.ts'
import type { Point } from '../../../shared/finding.ts'
import type { MotionFigures } from './clearance-text.ts'
import { motionsOfLine } from './motions-by-line.ts'
import type { BlockPose } from './block-pose.ts'
import type { ProgramView } from './program-view.ts'

/** Moments of a motion at which its speed is looked at, for the reader's eye. */
const MOMENTS = [0, 0.25, 0.5, 0.75, 1]

/** The cutter counts as cutting where it is this near to the part's surface, or deeper; mm. */
const CUTTING = 0.1

/** Speed of the tool point relative to the part over a block, mm/min, at a few moments of each motion; undefined where nothing moves. */
export function feedOnPart({ toolpath, kinematics, lengths, motions }: ProgramView, line: number): { readonly least: number, readonly most: number } | undefined {
  const pose = new MotionPose(kinematics, toolpath, lengths)
  let least = Infinity, most = -Infinity
  for (const motion of motionsOfLine(motions, line)) {
    const minutes = (toolpath.seconds[motion] ?? 0) / 60
    if (!(minutes > 0)) continue
    pose.begin(motion)
    for (const t of MOMENTS) {
      pose.at(t)
      const speed = Math.hypot(pose.vx, pose.vy, pose.vz) / minutes
      least = Math.min(least, speed)
      most = Math.max(most, speed)
    }
  }
  return Number.isFinite(least) && Number.isFinite(most) ? { least, most } : undefined
}

/** Speed of a cutting edge, m/min, at a diameter in mm: v = π D n / 1000 (ISO 3002-1 terms; the usual shop formula n = 1000 v / (π D)). */
export function cuttingSpeed(diameter: number, revolutions: number): number {
  return Math.PI * diameter * revolutions / 1000
}

/**
 * Diameter about the tool axis of the place where the cutter comes nearest to the part's mesh over a block, mm; undefined where
 * it does not cut. On a plane and for a ball of D, tilted by β, this tends to D sin β as the depth of cut tends to nothing.
 */
export function contactDiameter({ toolpath, kinematics, lengths, motions }: ProgramView, figuresOf: (motion: number) => MotionFigures | undefined, line: number): number | undefined {
  let nearest = CUTTING, diameter: number | undefined
  for (const motion of motionsOfLine(motions, line)) {
    const { value, time, point } = figuresOf(motion) ?? {}
    const distance = value?.[0] ?? Infinity
    if (time === undefined || point === undefined || !(distance < nearest)) continue
    nearest = distance
    const pose = new MotionPose(kinematics, toolpath, lengths)
    pose.begin(motion)
    pose.at(time[0] ?? 0)
    const x = (point[0] ?? 0) - pose.px, y = (point[1] ?? 0) - pose.py, z = (point[2] ?? 0) - pose.pz
    diameter = 2 * Math.hypot(y * pose.az - z * pose.ay, z * pose.ax - x * pose.az, x * pose.ay - y * pose.ax)
  }
  return diameter
}

/** Tool point and axis of a pose in the machine's own frame; mm and unit vector. */
export function inMachineFrame({ kinematics }: ProgramView, { point, axis, joints }: BlockPose): { readonly point: Point, readonly axis: Point } {
  const toMachine = (vector: Point, isPoint: boolean): Point => {
    const place = Float64Array.from(vector)
    partToMachine(kinematics, joints, place, isPoint)
    return [place[0] ?? Number.NaN, place[1] ?? Number.NaN, place[2] ?? Number.NaN]
  }
  return { point: toMachine(point, true), axis: toMachine(axis, false) }
}
