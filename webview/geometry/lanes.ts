import { components } from '../../shared/finding.ts'
import { PathFlag } from '../../shared/protocol/scene-messages.ts'
import { ARC_STRIDE, MotionKind } from '../../shared/toolpath.ts'
import type { ContactArrays, MotionTable } from './motion-table.ts'
import { allowedIn, FIGURES } from './motion-table.ts'
import type { PathArrays } from './path-geometry.ts'
import { Series } from './series.ts'

/** What the strip below the picture can show. */
export const quantities = ['clearance', 'feed', 'axes', 'rates'] as const
export type Quantity = typeof quantities[number]

/** One line of figures along the program. Values: mm, radians, mm/s, rad/s; a ratio has no dimension. */
export interface Lane {
  readonly label: string
  readonly dimension: 'length' | 'angle' | 'speed' | 'turning' | 'feed' | 'ratio'
  /** `near`: small distances and large ones both show, signs kept. */
  readonly scale: 'linear' | 'near'
  readonly series: Series
  /** A second line, dashed, of the same dimension. */
  readonly second?: Series
  /** Values that may not be passed, drawn as lines: one for each motion, or the same for all. */
  readonly limitAt?: (motion: number) => number | undefined
  readonly limits?: readonly number[]
}

export function lanesOf(quantity: Quantity, table: MotionTable, path: PathArrays, contact: ContactArrays | undefined): readonly Lane[] {
  switch (quantity) {
    case 'clearance':
      return contact === undefined ? [] : clearanceLanes(table, contact)
    case 'feed':
      return feedLanes(table, path)
    case 'axes':
      return axisLanes(table)
    case 'rates':
      return rateLanes(table)
    default:
      return quantity satisfies never
  }
}

/** The smallest distance of each component to the part, as the search has found it. */
function clearanceLanes(table: MotionTable, { value, limits }: ContactArrays): Lane[] {
  return components.map((component, c) => {
    const values = new Float32Array(table.count)
    for (let i = 0; i < table.count; i++) values[i] = value[i * FIGURES + c]
    return {
      label: component, dimension: 'length', scale: 'near', series: new Series(values),
      limitAt: motion => allowedIn(limits, motion, table.isRapid(motion), c),
    }
  })
}

/** Each axis at the end of each motion, with its travel. */
function axisLanes(table: MotionTable): Lane[] {
  return table.axes.map(({ letter, kind, range }, joint) => {
    const values = new Float32Array(table.count)
    for (let i = 0; i < table.count; i++) values[i] = table.path.joints[(i + 1) * table.axes.length + joint]
    return { label: letter, dimension: kind === 'linear' ? 'length' : 'angle', scale: 'linear', series: new Series(values), limits: range ?? [] }
  })
}

/** Each axis' mean rate over each motion, with its own top rates. */
function rateLanes(table: MotionTable): Lane[] {
  return table.axes.map(({ letter, kind, maxFeed, rapid }, joint) => ({
    label: letter, dimension: kind === 'linear' ? 'speed' : 'turning', scale: 'linear',
    series: new Series(ratesOf(table, joint)),
    limitAt: motion => table.isRapid(motion) ? rapid : maxFeed,
  }))
}

function ratesOf(table: MotionTable, joint: number): Float32Array {
  const { path: { joints, seconds, axes, count } } = table
  const rates = new Float32Array(count)
  for (let i = 0; i < count; i++) {
    const way = Math.abs(joints[(i + 1) * axes.length + joint] - joints[i * axes.length + joint])
    rates[i] = seconds[i] > 0 ? way / seconds[i] : NaN
  }
  return rates
}

/** How fast the tool point runs over the part, and what F asks for; and how much longer the slowest axis would need. */
function feedLanes(table: MotionTable, path: PathArrays): Lane[] {
  const { count, path: { seconds } } = table
  const ways = wayOnPart(table, path)
  const atPoint = new Float32Array(count).fill(NaN), asked = new Float32Array(count).fill(NaN), need = new Float32Array(count).fill(NaN)
  const rates = table.axes.map((_, joint) => ratesOf(table, joint))
  for (let i = 0; i < count; i++) {
    if (!(seconds[i] > 0) || table.isRapid(i)) continue
    atPoint[i] = ways[i] / seconds[i]
    asked[i] = askedWay(table, i, ways[i]) / seconds[i]
    let worst = NaN
    for (const [joint, { maxFeed }] of table.axes.entries()) {
      if (maxFeed !== undefined && !(rates[joint][i] / maxFeed <= worst)) worst = rates[joint][i] / maxFeed
    }
    need[i] = worst
  }
  const lanes: Lane[] = [{ label: 'tool point', dimension: 'feed', scale: 'linear', series: new Series(atPoint), second: new Series(asked) }]
  if (need.some(one => !Number.isNaN(one))) lanes.push({ label: 'axis load', dimension: 'ratio', scale: 'linear', series: new Series(need), limits: [1] })
  return lanes
}

/** The tool point's way over the part in each motion, from the vertices of the drawn path, mm. */
function wayOnPart(table: MotionTable, { positions, motions, flags }: PathArrays): Float32Array {
  const ways = new Float32Array(table.count)
  for (let v = 1; v < flags.length; v++) {
    if (motions[v] !== motions[v - 1] && (flags[v] & PathFlag.start) !== 0) continue
    const a = v * 3
    ways[motions[v]] += Math.hypot(positions[a] - positions[a - 3], positions[a + 1] - positions[a - 2], positions[a + 2] - positions[a - 1])
  }
  return ways
}

/** The way that F counts along: the tool point's under tool-centre control, else that of X, Y and Z (NISTIR 6556 2.1.2.5). NaN where only rotary axes move. */
function askedWay({ path, kinematics }: MotionTable, motion: number, onPart: number): number {
  const kind = path.kind[motion]
  if (kind === MotionKind.toolLine || kind === MotionKind.toolArc) return onPart
  if (path.arcOf[motion] >= 0) return arcWay(path.arcs.subarray(path.arcOf[motion] * ARC_STRIDE, (path.arcOf[motion] + 1) * ARC_STRIDE))
  const row = motion * path.axes.length
  const square = kinematics.linear.reduce((sum, joint) => joint < 0 ? sum : sum + (path.joints[row + path.axes.length + joint] - path.joints[row + joint]) ** 2, 0)
  return square > 0 ? Math.sqrt(square) : NaN
}

/** Length of an arc in its plane, at its mean radius. */
function arcWay(arc: Float64Array): number {
  return arc[9] * (arc[10] + arc[11]) / 2
}
