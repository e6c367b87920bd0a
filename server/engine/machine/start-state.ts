import type { Machine } from '../../../shared/machine.ts'
import type { ModalState } from './modal-state.ts'

/** What holds before the first block: nothing but the machine's home. */
export function startState(machine: Machine): ModalState {
  const joints = machine.axes.map((_, joint) => machine.home?.[joint] ?? Number.NaN)
  return {
    motion: undefined, plane: undefined, distance: undefined, feedMode: undefined, unit: undefined,
    radiusCompensation: undefined, lengthCompensation: undefined, toolCentre: false, toolVector: false, tiltedPlane: undefined, planeParts: undefined,
    lengthOffset: undefined, lengthOffsetSpan: undefined, tool: undefined, selectedTool: undefined,
    workOffset: undefined, cycleReturn: undefined, speed: undefined, spindle: 'stopped', coolant: false,
    feed: undefined, feedGivenIn: undefined, joints,
    position: Object.fromEntries(machine.axes.map(axis => [axis.letter, Number.NaN])),
    unsimulated: undefined, writtenOffsets: undefined, setPosition: undefined, localShift: undefined, keptPosition: undefined,
    pathControl: undefined, radiusOffset: undefined, cycle: undefined, ended: false,
  }
}

/** A state that keeps what this one holds now. */
export function cloneState(state: Readonly<ModalState>): ModalState {
  return { ...state, joints: [...state.joints], position: { ...state.position } }
}

/** Copies every field without making anything new. Both states belong to one machine. */
export function copyState(from: Readonly<ModalState>, to: ModalState): void {
  to.motion = from.motion
  to.plane = from.plane
  to.distance = from.distance
  to.feedMode = from.feedMode
  to.unit = from.unit
  to.radiusCompensation = from.radiusCompensation
  to.lengthCompensation = from.lengthCompensation
  to.toolCentre = from.toolCentre
  to.toolVector = from.toolVector
  to.tiltedPlane = from.tiltedPlane
  to.planeParts = from.planeParts
  to.lengthOffset = from.lengthOffset
  to.lengthOffsetSpan = from.lengthOffsetSpan
  to.tool = from.tool
  to.selectedTool = from.selectedTool
  to.workOffset = from.workOffset
  to.cycleReturn = from.cycleReturn
  to.speed = from.speed
  to.spindle = from.spindle
  to.coolant = from.coolant
  to.feed = from.feed
  to.feedGivenIn = from.feedGivenIn
  for (let j = 0; j < from.joints.length; j++) to.joints[j] = from.joints[j] ?? Number.NaN
  for (const letter in from.position) to.position[letter] = from.position[letter] ?? Number.NaN
  to.unsimulated = from.unsimulated
  to.writtenOffsets = from.writtenOffsets
  to.setPosition = from.setPosition
  to.localShift = from.localShift
  to.keptPosition = from.keptPosition
  to.pathControl = from.pathControl
  to.radiusOffset = from.radiusOffset
  to.cycle = from.cycle
  to.ended = from.ended
}
