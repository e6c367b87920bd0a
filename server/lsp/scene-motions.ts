import { components } from '../../shared/finding.ts'
import type { ContactDescription, LimitsFrom, MotionsDescription } from '../../shared/protocol/scene-messages.ts'
import { motionArrays } from '../../shared/protocol/scene-messages.ts'
import { ARC_STRIDE } from '../../shared/toolpath.ts'
import type { ProgramView } from '../engine/editor-service.ts'
import { judgedTurning, leastDistance, searchInputOf } from '../engine/service.ts'
import type { Reading } from './reading.ts'
import type { LargeArray } from './scene-buffers.ts'

type Arrays = Record<string, LargeArray>

/** The packed motions for the viewer; their arrays are put into `arrays` under `key`. Undefined where there are none. */
export function describeMotions({ toolpath, kinematics, lengths, machine }: ProgramView, key: string, arrays: Arrays): MotionsDescription | undefined {
  if (toolpath.count === 0) return undefined
  const buffers: Partial<Record<keyof typeof motionArrays, string>> = {}
  for (const name of Object.keys(motionArrays) as (keyof typeof motionArrays)[]) {
    const array = toolpath[name]
    if (array === undefined) continue
    buffers[name] = `${key}/motion/${name}`
    arrays[`${key}/motion/${name}`] = array
  }
  // It is worked out anew from the rest where it is needed.
  const plain = { ...kinematics, linearInverse: undefined }
  return {
    count: toolpath.count,
    arcs: toolpath.arcs.length / ARC_STRIDE,
    axes: machine.axes.map(({ letter, kind, range, rapid, maxFeed }) => ({ letter, kind, range, rapid, maxFeed })),
    kinematics: plain,
    lengths: Array.from(lengths),
    buffers,
  }
}

/** The figures of the search for the viewer; undefined until it has come to its end. */
export function describeContact({ complete, program, figures, scene: { scene }, settings }: Reading, key: string, arrays: Arrays): ContactDescription | undefined {
  const input = complete ? searchInputOf(program, scene, settings.epsilon) : undefined
  if (input === undefined) return undefined
  const { toolpath, kinematics, limits: { sets, ofMotion } } = input
  const limits: LimitsFrom[] = []
  let before: { readonly set: number, readonly isIndex: boolean } | undefined
  for (let motion = 0; motion < ofMotion.length; motion++) {
    const set = ofMotion[motion] ?? 0, inForce = sets[set]
    if (inForce === undefined) continue
    const isIndex = judgedTurning(toolpath, kinematics, motion, figures.of(motion)?.certified[0] ?? NaN, inForce.limits) === 'index'
    if (before?.set === set && before.isIndex === isIndex) continue
    before = { set, isIndex }
    const least = (rapid: boolean) => components.map(component => leastDistance(component, rapid, inForce.limits))
    limits.push({ motion, feed: least(isIndex), rapid: least(true) })
  }
  arrays[`${key}/contact/value`] = () => figures.packed('value')
  arrays[`${key}/contact/certified`] = () => figures.packed('certified')
  arrays[`${key}/contact/points`] = figures.points
  return { value: `${key}/contact/value`, certified: `${key}/contact/certified`, points: `${key}/contact/points`, limits }
}
