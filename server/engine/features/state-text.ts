import type { ModalState } from '../machine/modal-state.ts'

const motions: Readonly<Record<number, string>> = {
  0: 'rapid (G0)', 1: 'straight feed move (G1)', 2: 'clockwise arc (G2)', 3: 'counterclockwise arc (G3)', 80: 'no cycle (G80)',
}
const planes = { 17: 'plane XY (G17)', 18: 'plane ZX (G18)', 19: 'plane YZ (G19)' } as const
const distances = { 90: 'absolute (G90)', 91: 'incremental (G91)' } as const
const compensations = { 40: undefined, 41: 'radius compensation left (G41)', 42: 'radius compensation right (G42)' } as const

/** What is in force, in the order a setter would read it off; what the program never set is left out. */
export function stateText(state: Readonly<ModalState>): string {
  const { motion, plane, distance, unit, radiusCompensation } = state
  const parts = [
    motion === undefined ? undefined : motions[motion] ?? `cycle (G${motion})`,
    plane === undefined ? undefined : planes[plane],
    distance === undefined ? undefined : distances[distance],
    unit === undefined ? undefined : unit === 1 ? 'millimetres' : 'inches',
    state.workOffset === undefined ? undefined : `work offset ${state.workOffset}`,
    toolText(state),
    state.toolVector ? 'tool-centre control with the tool axis in I J K' : state.toolCentre ? 'tool-centre control on' : undefined,
    state.tiltedPlane === undefined ? undefined : 'tilted working plane on',
    radiusCompensation === undefined ? undefined : compensations[radiusCompensation],
    spindleText(state),
    state.coolant ? 'coolant on' : undefined,
  ]
  return parts.filter(part => part !== undefined).join(', ')
}

/** The F in force with the unit of its mode. */
export function feedText({ feed, feedMode, unit }: Readonly<ModalState>): string | undefined {
  if (feed === undefined) return undefined
  if (feedMode === 93) return `F${feed}: inverse time (G93)`
  const length = unit === 25.4 ? 'inch' : 'mm'
  return `F${feed}: ${length} per ${feedMode === 95 ? 'revolution' : 'minute'}`
}

function toolText({ tool, lengthOffset, lengthCompensation, toolCentre }: Readonly<ModalState>): string | undefined {
  const offset = lengthOffset !== undefined && (toolCentre || lengthCompensation === 43) ? `length offset H${lengthOffset}` : undefined
  const words = [tool === undefined ? undefined : `tool ${tool}`, offset].filter(word => word !== undefined)
  return words.length === 0 ? undefined : words.join(' with ')
}

function spindleText({ spindle, speed }: Readonly<ModalState>): string | undefined {
  const revolutions = speed === undefined ? '' : ` at ${speed} rev/min`
  return spindle === 'stopped' ? 'spindle stopped' : `spindle ${spindle}${revolutions}`
}
