import { components, type Component, type Finding } from '../../shared/finding.ts'
import type { Machine } from '../../shared/machine.ts'
import { gaugeLength } from '../../shared/tool-length.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact/contact-figures.ts'
import { JointExtent } from './geometry/joint-extent.ts'
import { estimateSeconds } from './machine/time-estimate.ts'
import type { MendReport } from './mend-report.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'
import type { SurfaceResult } from './result/surface-result.ts'
import type { StockFigures } from './stock/stock-figures.ts'

/** Worst certified figure of a component: distance to the part, mm, negative for penetration. */
export interface WorstFigure {
  readonly value: number
  readonly bound: number
  /** 1-based line of the program. */
  readonly line: number
}

export interface ToolSummary {
  readonly number: number
  readonly worst: Readonly<Partial<Record<Component, WorstFigure>>>
}

export interface AxisSummary {
  readonly letter: string
  /** mm or degrees. */
  readonly min: number
  readonly max: number
  /** Highest rate, rapids included, mm or degrees per minute. */
  readonly topRate: number
}

/** What the stock's rays say of a program; mm and mm³. */
export interface StockSummary {
  /** Distance of neighbouring rays. */
  readonly pitch: number
  /** Material between the rays may reach this far beyond what they meet. */
  readonly bound: number
  readonly initial: number
  readonly removed: number
  readonly remaining: number
  /** Share of the programmed time of all feed moves in which nothing is cut, 0..1. */
  readonly cutInAir: number
}

/** The whole answer about one program. */
export interface CheckResult {
  readonly program: ReadProgram
  readonly findings: readonly Finding[]
  readonly blocks: number
  readonly motions: number
  /** Sheet and machine could be used: joints, travel and rates were checked. */
  readonly motionChecked: boolean
  /** Estimated machine time: feeds, axis rates and accelerations as far as the machine file gives them, and dwells. */
  readonly seconds: number
  readonly tools: readonly ToolSummary[]
  /** What is left on the part and what was cut too deep; absent where it was not measured. */
  readonly surface?: SurfaceResult
  /** It was to be measured, and a fault of ours kept it from being so. */
  readonly surfaceLost?: boolean
  readonly axes: readonly AxisSummary[]
  /** Absent where no stock was followed. */
  readonly stock?: StockSummary
  /** What a mend would change and has proven; absent where nobody asked. */
  readonly mend?: MendReport
}

export function summarise(program: ReadProgram, scene: Scene, findings: readonly Finding[], tools: readonly ToolSummary[], stock?: StockFigures, surface?: SurfaceResult): CheckResult {
  const { toolpath } = program
  const seconds = program.dwellSeconds + estimateSeconds(toolpath, scene.machine, program.kinematics, scene.setup?.tools.map(gaugeLength) ?? [])
  return {
    program,
    findings,
    blocks: program.blockCount,
    motions: toolpath.count,
    motionChecked: scene.usable,
    seconds,
    tools,
    ...surface === undefined ? {} : { surface },
    axes: scene.usable ? axisSummaries(program, scene) : [],
    ...stock === undefined ? {} : { stock: stockSummary(program, stock) },
  }
}

function stockSummary({ toolpath }: ReadProgram, { pitch, bound, initial, remaining, share }: StockFigures): StockSummary {
  let seconds = 0, inAir = 0
  for (let motion = 0; motion < toolpath.count; motion++) {
    if (((toolpath.flags[motion] ?? 0) & (MotionFlag.rapid | MotionFlag.unknownStart)) !== 0) continue
    seconds += toolpath.seconds[motion] ?? 0
    inAir += (toolpath.seconds[motion] ?? 0) * (1 - (share[motion] ?? 0))
  }
  return { pitch, bound, initial, removed: initial - remaining, remaining, cutInAir: seconds > 0 ? inAir / seconds : 0 }
}

/** Worst figure of each tool and component among those searched; a component that stayed out of reach is left out. */
export function worstFigures(program: ReadProgram, scene: Scene, figures: ContactFigures): ToolSummary[] {
  const { toolpath } = program
  const worst = new Map<number, Partial<Record<Component, WorstFigure>>>()
  for (let i = 0; i < figures.count; i++) {
    const motion = figures.firstMotion + i, tool = toolpath.tool[motion] ?? 0
    if (scene.setup?.tools[tool] === undefined) continue
    const ofTool = worst.get(tool) ?? {}
    worst.set(tool, ofTool)
    components.forEach((component, c) => {
      const at = i * FIGURES_PER_MOTION + c
      const value = figures.value[at] ?? Infinity, certified = figures.certified[at] ?? -Infinity
      if (value === Infinity) return
      const figure = { value: (value + certified) / 2, bound: (value - certified) / 2, line: (toolpath.line[motion] ?? 0) + 1 }
      const before = ofTool[component]
      if (before === undefined || figure.value - figure.bound < before.value - before.bound) ofTool[component] = figure
    })
  }
  return [...worst].sort(([a], [b]) => a - b).map(([tool, figure]) => ({ number: scene.setup?.tools[tool]?.number ?? 0, worst: figure }))
}

function axisSummaries(program: ReadProgram, { machine, setup }: Scene): AxisSummary[] {
  const { toolpath, kinematics } = program
  const width = toolpath.axes.length
  const low = new Float64Array(width).fill(Infinity), high = new Float64Array(width).fill(-Infinity), top = new Float64Array(width)
  const extent = new JointExtent(kinematics, toolpath, setup?.tools.map(gaugeLength) ?? [])
  for (let i = 0; i < toolpath.count; i++) {
    extent.of(i)
    const seconds = toolpath.seconds[i] ?? 0
    for (let j = 0; j < width; j++) {
      low[j] = Math.min(low[j] ?? Infinity, numberOr(extent.low[j], Infinity))
      high[j] = Math.max(high[j] ?? -Infinity, numberOr(extent.high[j], -Infinity))
      const travel = Math.abs((toolpath.joints[(i + 1) * width + j] ?? 0) - (toolpath.joints[i * width + j] ?? 0))
      if (seconds > 0 && Number.isFinite(travel)) top[j] = Math.max(top[j] ?? 0, travel / seconds)
    }
  }
  return machine.axes.map((axis, j) => {
    const unit = shownUnit(axis)
    return { letter: axis.letter, min: (low[j] ?? 0) * unit, max: (high[j] ?? 0) * unit, topRate: (top[j] ?? 0) * unit * 60 }
  }).filter(axis => axis.min <= axis.max)
}

function numberOr(value: number | undefined, other: number): number {
  return value === undefined || Number.isNaN(value) ? other : value
}

/** Degrees for rotary axes, mm for linear ones. */
function shownUnit(axis: Machine['axes'][number]): number {
  return axis.kind === 'rotary' ? 180 / Math.PI : 1
}
