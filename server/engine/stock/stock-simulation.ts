import { neverCancelled, type Cancellation } from '../../../shared/cancellation.ts'
import { MotionPose } from '../../../shared/motion-pose.ts'
import type { Tool } from '../../../shared/setup.ts'
import { atOnce, type Stepwise } from '../../../shared/stepwise.ts'
import { MotionFlag } from '../../../shared/toolpath.ts'
import type { NearFigure } from '../contact/near-figure.ts'
import type { SearchInput } from '../contact/search-motions.ts'
import { Engagement } from './engagement.ts'
import { widestPitch } from './grid-frame.ts'
import { StockMark, type StockFigures } from './stock-figures.ts'
import type { StockGrid, StockSnapshot } from './stock-grid.ts'
import { toolInStock, type ToolInStock } from './tool-in-stock.ts'

/** Snapshots of one program: an edit costs at most so much of it again as lies between two. */
const mostSnapshots = 128

/** Motions between two snapshots at least. */
const fewestBetween = 64

/** Radians from the tool's axis within which a feed goes along it. */
const plungeAngle = Math.PI / 6

/** Stretches of a motion that are cut and searched by turns at most. */
const mostTurns = 64

/** How far a simulation has come is told every so many motions. */
const progressEvery = 256

/** A program as the stock needs it. */
export interface StockInput extends Pick<SearchInput, 'kinematics' | 'toolpath' | 'assemblies'> {
  /** In the order of the assemblies. */
  readonly tools: readonly Tool[]
}

interface Writable {
  readonly removed: Float32Array, readonly share: Float32Array, readonly depth: Float32Array, readonly width: Float32Array, readonly marks: Uint8Array
  near: NearFigure[]
}

/** Runs the motions of a program through the stock, in their order. It keeps snapshots, so that an edited program goes on from the last one before the edit. */
export class StockSimulation {
  readonly #grid: StockGrid
  readonly #initial: number
  readonly #pitch: number
  /** How far material may stand from where the rays meet it, mm. */
  readonly #bound: number
  #snapshots: { readonly motion: number, readonly stock: StockSnapshot, readonly leaves: boolean }[]
  #every = fewestBetween
  #shortfall = 0
  #last: Writable | undefined
  /** Motions that `#last` and the snapshots know. */
  #known = 0

  /** `error`: of the stock as filled, mm: what is told of it may be off by so much besides the pitch. */
  constructor(grid: StockGrid, error = 0) {
    this.#grid = grid
    this.#initial = grid.volume()
    this.#pitch = widestPitch(grid.frame)
    this.#bound = this.#pitch * Math.SQRT1_2 + error
    this.#snapshots = [{ motion: 0, stock: grid.snapshot(), leaves: false }]
  }

  get grid(): StockGrid {
    return this.#grid
  }

  /**
   * Simulates a program. `same`: how many motions at its beginning are those of the program simulated
   * last, tools included. Ends early, with what there is, once cancelled.
   */
  run(input: StockInput, same = 0, cancellation: Cancellation = neverCancelled): StockFigures {
    return atOnce(this.runStepwise(input, same, cancellation))
  }

  /** The same motion by motion. What is begun has to be ended before anything else is asked. */
  * runStepwise(input: StockInput, same: number, cancellation: Cancellation, onProgress: (done: number) => void = () => {}): Stepwise<StockFigures> {
    const { toolpath } = input, count = toolpath.count
    const usable = Math.min(same, this.#known)
    while (this.#snapshots.length > 1 && this.#snapshots[this.#snapshots.length - 1].motion > usable) this.#snapshots.pop()
    const start = this.#snapshots[this.#snapshots.length - 1]
    this.#grid.restore(start.stock)
    const figures = this.#begin(count, start.motion)
    this.#every = Math.max(fewestBetween, Math.ceil(count / mostSnapshots))
    const pose = new MotionPose(input.kinematics, toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
    const tools = new Map<number, ToolInStock | undefined>()
    const step = { figures, input, pose, engagement: new Engagement(), cancellation, leaves: start.leaves }
    let done = start.motion
    for (; done < count; done++) {
      if (done > start.motion && done % this.#every === 0) this.#snapshots.push({ motion: done, stock: this.#grid.snapshot(), leaves: step.leaves })
      if (done % progressEvery === 0) onProgress(done)
      const index = toolpath.tool[done]
      if (!tools.has(index)) tools.set(index, this.#toolOf(input, index, cancellation))
      this.#motion(done, tools.get(index), step)
      if (cancellation.cancelled()) break
      this.#known = done + 1
      yield this.#known / count
    }
    for (const tool of tools.values()) this.#shortfall = Math.max(this.#shortfall, tool?.cutter?.shortfall ?? 0)
    this.#last = figures
    return {
      ...figures, count, done, pitch: this.#pitch, bound: this.#bound, shortfall: this.#shortfall,
      initial: this.#initial, remaining: this.#grid.volume(), bytes: this.#grid.bytes(),
    }
  }

  /** Takes what the last program has left as what the next one finds. */
  keep(): void {
    this.#snapshots = [{ motion: 0, stock: this.#grid.snapshot(), leaves: false }]
    this.#known = 0
  }

  /** Brings the grid to the stock as it stands before a motion of the program simulated last. */
  standAt(input: StockInput, motion: number): StockGrid {
    const start = this.#snapshots.filter(snapshot => snapshot.motion <= motion).at(-1) ?? this.#snapshots[0]
    this.#grid.restore(start.stock)
    const pose = new MotionPose(input.kinematics, input.toolpath, input.assemblies.map(assembly => assembly?.gaugeLength ?? 0))
    const engagement = new Engagement(), tools = new Map<number, ToolInStock | undefined>()
    for (let i = start.motion; i < motion; i++) {
      const index = input.toolpath.tool[i]
      if (!isFeed(input, i)) continue
      if (!tools.has(index)) tools.set(index, this.#toolOf(input, index, neverCancelled))
      pose.begin(i)
      tools.get(index)?.cutter?.cut(pose, engagement)
    }
    return this.#grid
  }

  #toolOf(input: StockInput, index: number, cancellation: Cancellation): ToolInStock | undefined {
    const tool = input.tools[index], assembly = input.assemblies[index]
    return tool === undefined || assembly === undefined ? undefined : toolInStock(this.#grid, tool, assembly, this.#bound, this.#pitch, cancellation)
  }

  #begin(count: number, from: number): Writable {
    const last = this.#last
    const kept = <T extends Float32Array | Uint8Array>(next: T, old: T | undefined): T => {
      if (old !== undefined) next.set(old.subarray(0, from))
      return next
    }
    this.#known = from
    return {
      removed: kept(new Float32Array(count), last?.removed), share: kept(new Float32Array(count), last?.share),
      depth: kept(new Float32Array(count), last?.depth), width: kept(new Float32Array(count), last?.width),
      marks: kept(new Uint8Array(count), last?.marks), near: last?.near.filter(({ motion }) => motion < from) ?? [],
    }
  }

  #motion(motion: number, tool: ToolInStock | undefined, step: { readonly figures: Writable, readonly input: StockInput, readonly pose: MotionPose, readonly engagement: Engagement, readonly cancellation: Cancellation, leaves: boolean }): void {
    const { toolpath } = step.input, { pose } = step
    if (tool === undefined || (toolpath.flags[motion] & MotionFlag.unknownStart) !== 0) {
      step.leaves = false
      return
    }
    pose.begin(motion)
    if (!isFeed(step.input, motion)) {
      const near = this.#nearest(motion, tool, step.leaves, step)
      // While rapids lead away from where the cut ended, what is near was near before.
      step.leaves = step.leaves && near
      return
    }
    this.#feed(motion, tool, step)
    step.leaves = true
  }

  /** Anything in a rapid counts, the nearest once. */
  #nearest(motion: number, tool: ToolInStock, leaves: boolean, { figures, pose }: { readonly figures: Writable, readonly pose: MotionPose }): boolean {
    let worst: NearFigure | undefined
    for (const { component, contact } of tool.contacts) {
      if (contact.search(pose) && contact.value < (worst?.value ?? Infinity)) worst = this.#near(motion, component, contact, leaves)
    }
    if (worst !== undefined) figures.near.push(worst)
    return worst !== undefined
  }

  #feed(motion: number, tool: ToolInStock, { figures, input, pose, engagement }: { readonly figures: Writable, readonly input: StockInput, readonly pose: MotionPose, readonly engagement: Engagement }): void {
    engagement.begin(pose.speed, this.#pitch)
    const meetsCentre = tool.centre.search(pose)
    const following = tool.contacts.filter(({ component }) => component !== 'cutter')
    // What is clear of the stock as it stood before the motion is clear while it is cut.
    const close = following.filter(({ contact }) => contact.search(pose))
    const turns = close.length === 0 ? 1 : Math.min(mostTurns, Math.max(1, Math.ceil(pose.speed / input.tools[input.toolpath.tool[motion]].cutter.DC)))
    const worst = new Map<string, NearFigure>()
    for (let turn = 0; turn < turns; turn++) {
      tool.cutter?.cut(pose, engagement, turn / turns, (turn + 1) / turns)
      for (const { component, contact } of close) {
        if (contact.search(pose, turn / turns, (turn + 1) / turns) && contact.value < (worst.get(component)?.value ?? Infinity)) {
          worst.set(component, this.#near(motion, component, contact, false))
        }
      }
    }
    figures.near.push(...worst.values())
    pose.at(0.5)
    const along = pose.vx * pose.ax + pose.vy * pose.ay + pose.vz * pose.az
    figures.removed[motion] = engagement.volume
    figures.share[motion] = engagement.share
    figures.depth[motion] = engagement.isMet ? engagement.depth : 0
    figures.width[motion] = engagement.isMet ? engagement.width : 0
    figures.marks[motion] = (engagement.isMet ? StockMark.met : 0) | (engagement.isMetAtEnd ? StockMark.metAtEnd : 0)
      | (engagement.isMet && meetsCentre ? StockMark.centre : 0)
      | (engagement.isMet && along < -Math.cos(plungeAngle) * Math.hypot(pose.vx, pose.vy, pose.vz) ? StockMark.plunge : 0)
  }

  #near(motion: number, who: NearFigure['who'], contact: StockContactResult, leaves: boolean): NearFigure {
    const { value, time, point, radius } = contact
    return {
      motion, who, against: { kind: 'stock', index: 0 }, value, certified: contact.certified - this.#bound, time,
      point: [point[0], point[1], point[2]], inStock: { radius, leaves },
    }
  }
}

type StockContactResult = Pick<ToolInStock['centre'], 'value' | 'certified' | 'time' | 'point' | 'radius'>

function isFeed({ toolpath }: StockInput, motion: number): boolean {
  return (toolpath.flags[motion] & (MotionFlag.rapid | MotionFlag.unknownStart)) === 0
}
