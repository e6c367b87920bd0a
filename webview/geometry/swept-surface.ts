import type { ToolOutline } from '../../shared/protocol/scene-messages.ts'
import { ARC_STRIDE, NO_TOOL } from '../../shared/toolpath.ts'
import { grazingPoints, RING_STRIDE, ringsOf, STATE_STRIDE } from './grazing-curve.ts'
import { latheSurface } from './lathe.ts'
import type { MotionTable } from './motion-table.ts'
import { PoseReader } from './pose-reader.ts'

/** What the cutter leaves behind over a run of motions: a surface for the eye, part frame, mm. */
export interface SweptSurface {
  readonly positions: Float32Array
  readonly indices: Uint32Array
  /** The motions it shows: the last of those asked for, where all of them would be too many. */
  readonly first: number
  readonly last: number
}

/** Vertices a surface may have; the runs of most findings need a tenth of it. */
const MOST_VERTICES = 500_000
/** The way and the axis are looked at anew at least every so many radians of their turn. */
const WAY_TURN = Math.PI / 30
const AXIS_TURN = Math.PI / 60
/** Where the way turns at the joint of two motions, the surface is carried round the cutter in these steps. */
const CORNER_TURN = Math.PI / 24
/** A motion that leaves the axis by less than this share of its length sinks straight down. */
const STRAIGHT_DOWN = 0.01
const SIDES = 48

/** The feed motions among [first, last]; rapids do not cut. */
export function sweptSurface(table: MotionTable, tools: readonly ToolOutline[], first: number, last: number): SweptSurface {
  const gather = new Gatherer()
  const reader = new PoseReader(table)
  const from = firstWithin(table, tools, first, last)
  let strip: Strip | undefined
  const end = () => {
    strip?.finish(gather)
    strip = undefined
  }
  for (let i = from; i <= last; i++) {
    const tool = toolOf(table, tools, i)
    if (tool === undefined || table.isRapid(i) || !reader.go(i, 0.5)) {
      end()
      continue
    }
    if (isStraightDown(reader)) {
      end()
      addPlunge(gather, reader, i, tool)
      continue
    }
    if (reader.pose.speed < 1e-9 && reader.pose.turn < 1e-9) continue
    if (strip !== undefined && strip.tool !== tool) end()
    strip ??= new Strip(tool)
    const steps = stepsOf(table, reader, i)
    for (let step = 0; step <= steps; step++) {
      if (reader.go(i, step / steps)) strip.add(stateOf(reader))
    }
  }
  end()
  return { ...gather.finish(), first: from, last }
}

function toolOf(table: MotionTable, tools: readonly ToolOutline[], motion: number): ToolOutline | undefined {
  const tool = table.path.tool[motion]
  return tool === NO_TOOL ? undefined : tools[tool]
}

/** So that the surface does not outgrow its room: counted back from the end. */
function firstWithin(table: MotionTable, tools: readonly ToolOutline[], first: number, last: number): number {
  let room = MOST_VERTICES
  for (let i = last; i >= first; i--) {
    if (table.isRapid(i)) continue
    const outlines = toolOf(table, tools, i)?.parts.filter(part => part.component === 'cutter') ?? []
    const arc = table.path.arcOf[i]
    const turn = arc < 0 ? 0 : table.path.arcs[arc * ARC_STRIDE + 9]
    const states = 3 + Math.ceil(turn / WAY_TURN)
    for (const { outline } of outlines) room -= states * 2 * (outline.length + NORMALS_ROOM)
    if (room < 0) return Math.min(last, i + 1)
  }
  return first
}

/** Rings that the edges of an outline add. */
const NORMALS_ROOM = 18

function stepsOf(table: MotionTable, reader: PoseReader, motion: number): number {
  const arc = table.path.arcOf[motion]
  const turn = arc < 0 ? 0 : table.path.arcs[arc * ARC_STRIDE + 9]
  return Math.min(200, Math.max(1, Math.ceil(turn / WAY_TURN), Math.ceil(reader.pose.turn / AXIS_TURN)))
}

function stateOf({ pose }: PoseReader): number[] {
  return [pose.px, pose.py, pose.pz, pose.ax, pose.ay, pose.az, pose.vx, pose.vy, pose.vz, pose.wx, pose.wy, pose.wz]
}

function isStraightDown({ pose }: PoseReader): boolean {
  const speed = Math.hypot(pose.vx, pose.vy, pose.vz)
  if (speed < 1e-9 || pose.turn > 1e-6 || pose.acceleration > 1e-6 * speed) return false
  const along = Math.abs(pose.vx * pose.ax + pose.vy * pose.ay + pose.vz * pose.az)
  return Math.sqrt(Math.max(0, speed * speed - along * along)) < STRAIGHT_DOWN * speed
}

/** Straight along its axis a body of revolution sweeps its own outline, drawn out at its widest. */
function addPlunge(gather: Gatherer, reader: PoseReader, motion: number, tool: ToolOutline): void {
  reader.go(motion, 0)
  const start = stateOf(reader)
  reader.go(motion, 1)
  const stop = stateOf(reader)
  const rise = [0, 1, 2].reduce((sum, k) => sum + (stop[k] - start[k]) * start[k + 3], 0)
  const low = rise < 0 ? stop : start
  for (const { component, outline } of tool.parts) {
    if (component !== 'cutter') continue
    const widest = outline.reduce((best, point, i) => point[0] > outline[best][0] ? i : best, 0)
    const drawnOut = [...outline.slice(0, widest + 1), ...outline.slice(widest).map(([radius, height]) => [radius, height + Math.abs(rise)] as const)]
    gather.addBody(drawnOut, low)
  }
}

/** One unbroken run of motions of one tool. */
class Strip {
  readonly tool: ToolOutline
  readonly #states: number[][] = []

  constructor(tool: ToolOutline) {
    this.tool = tool
  }

  add(state: number[]): void {
    const before = this.#states.at(-1)
    if (before !== undefined) this.#turnCorner(before, state)
    this.#states.push(state)
  }

  /** Between two directions at one place the surface runs round the cutter itself. */
  #turnCorner(before: readonly number[], after: readonly number[]): void {
    const sizeA = Math.hypot(before[6], before[7], before[8]), sizeB = Math.hypot(after[6], after[7], after[8])
    if (sizeA === 0 || sizeB === 0) return
    const a = [6, 7, 8].map(k => before[k] / sizeA), b = [6, 7, 8].map(k => after[k] / sizeB)
    const cosine = Math.min(1, Math.max(-1, a[0] * b[0] + a[1] * b[1] + a[2] * b[2]))
    const turn = Math.acos(cosine)
    if (turn <= CORNER_TURN) return
    // On the way back there is no plane to turn in: about the tool axis then.
    const side = turn > Math.PI - 0.01
      ? [after[4] * a[2] - after[5] * a[1], after[5] * a[0] - after[3] * a[2], after[3] * a[1] - after[4] * a[0]]
      : b.map((part, k) => part - cosine * a[k])
    const size = Math.hypot(side[0], side[1], side[2])
    if (size < 1e-9) return
    const steps = Math.ceil(turn / CORNER_TURN)
    for (let step = 1; step < steps; step++) {
      const angle = turn * step / steps, c = Math.cos(angle), s = Math.sin(angle) / size
      this.#states.push([...after.slice(0, 6), a[0] * c + side[0] * s, a[1] * c + side[1] * s, a[2] * c + side[2] * s, 0, 0, 0])
    }
  }

  finish(gather: Gatherer): void {
    const first = this.#states[0], last = this.#states.at(-1)
    if (first === undefined || last === undefined) return
    for (const { component, outline } of this.tool.parts) {
      if (component !== 'cutter') continue
      gather.addRibbons(ringsOf(outline), this.#states)
      gather.addBody(outline, first)
      gather.addBody(outline, last)
    }
  }
}

class Gatherer {
  readonly #positions: Float32Array[] = []
  readonly #indices: Uint32Array[] = []
  #vertices = 0

  /** A turned body standing at a state. */
  addBody(outline: readonly (readonly [number, number])[], state: readonly number[]): void {
    const { positions, indices } = latheSurface(outline, SIDES)
    const [px, py, pz, ax, ay, az] = state
    // The body is round: any turn about the axis will do.
    const tilted = Math.abs(az) < 0.9
    const along = tilted ? az : ax
    const u = [tilted ? -along * ax : 1 - along * ax, -along * ay, tilted ? 1 - along * az : -along * az]
    const size = Math.hypot(u[0], u[1], u[2])
    const [x, y, z] = u.map(part => part / size)
    const placed = new Float32Array(positions.length)
    const wx = ay * z - az * y, wy = az * x - ax * z, wz = ax * y - ay * x
    for (let i = 0; i < positions.length; i += 3) {
      const a = positions[i], b = positions[i + 1], h = positions[i + 2]
      placed[i] = px + a * x + b * wx + h * ax
      placed[i + 1] = py + a * y + b * wy + h * ay
      placed[i + 2] = pz + a * z + b * wz + h * az
    }
    this.#add(placed, indices)
  }

  /** The two strips that the grazing points run through, state after state. */
  addRibbons(rings: Float64Array, states: readonly (readonly number[])[]): void {
    const count = rings.length / RING_STRIDE
    if (count < 2 || states.length < 2 || states[0].length !== STATE_STRIDE) return
    const row = count * 2
    const positions = new Float32Array(states.length * row * 3), open = new Uint8Array(states.length * row)
    for (const [i, state] of states.entries()) grazingPoints(rings, state, positions, open, i * row)
    const indices: number[] = []
    for (let i = 0; i + 1 < states.length; i++) {
      for (let k = 0; k < row - 1; k++) {
        // Left and right strip are not joined at their tops.
        if (k === count - 1) continue
        const a = i * row + k, b = a + 1, c = a + row, d = c + 1
        if (open[a] + open[b] === 0 || open[c] + open[d] === 0) continue
        if (k < count) indices.push(a, b, c, b, d, c)
        else indices.push(a, c, b, b, c, d)
      }
    }
    this.#add(positions, Uint32Array.from(indices))
  }

  finish(): { positions: Float32Array, indices: Uint32Array } {
    const positions = new Float32Array(this.#positions.reduce((sum, one) => sum + one.length, 0))
    const indices = new Uint32Array(this.#indices.reduce((sum, one) => sum + one.length, 0))
    let at = 0, indexAt = 0
    for (const one of this.#positions) {
      positions.set(one, at)
      at += one.length
    }
    for (const one of this.#indices) {
      indices.set(one, indexAt)
      indexAt += one.length
    }
    return { positions, indices }
  }

  #add(positions: Float32Array, indices: Uint32Array): void {
    this.#indices.push(indices.map(index => index + this.#vertices))
    this.#positions.push(positions)
    this.#vertices += positions.length / 3
  }
}
