import { components } from '../shared/finding.ts'
import type { Point } from '../shared/finding.ts'
import type { MotionChange } from '../shared/protocol/scene-messages.ts'
import type { ActionName } from './actions.ts'
import { quantities } from './geometry/lanes.ts'
import type { Moment } from './geometry/motion-table.ts'
import type { MapSubject } from './geometry/place-map.ts'
import { PoseReader, rotaryAxisInPart } from './geometry/pose-reader.ts'
import { dot } from './geometry/section-plane.ts'
import type { CutPlane } from './geometry/section-plane.ts'
import { momentNearest, otherSpeed } from './playback.ts'
import type { LoadedScene } from './scene-loader.ts'
import type { Stage } from './scene/stage.ts'
import type { View } from './scene/view-control.ts'
import type { Change, Shown, ViewState } from './view-state.ts'
import { bodyKey, nextShowing, showingOf } from './view-state.ts'

/** Blocks whose wake is drawn behind the tool. */
const BEHIND = 60

const cutOrder: readonly CutPlane[] = ['off', 'x', 'y', 'z', 'across', 'along']

/** How far one press moves a cut: this share of what the picture is high. */
const CUT_STEP = 0.01

export interface ControlsEnvironment {
  readonly state: () => ViewState
  readonly loaded: () => LoadedScene | undefined
  readonly stage: () => Stage | undefined
  readonly change: (change: Change) => void
  /** Brings page and editor to a moment. */
  readonly go: (moment: Moment) => void
  readonly chooseFinding: (finding: number) => void
  readonly showKeys: () => void
  readonly keepPicture: () => void
  /** Asks for another version to compare with. */
  readonly compare: () => void
}

/** What each action does. One table: a button and a key cannot differ. */
export class Controls {
  readonly #around: ControlsEnvironment
  /** The rotary axis that was looked along last. */
  #axis = -1

  constructor(environment: ControlsEnvironment) {
    this.#around = environment
  }

  act(name: ActionName): void {
    this.#table[name]()
    this.#around.stage()?.request()
  }

  readonly #table: Readonly<Record<ActionName, () => void>> = {
    'fit': () => this.#around.stage()?.view.fit(),
    'view-corner': () => this.#fit('corner'),
    'view-top': () => this.#fit('top'),
    'view-front': () => this.#fit('front'),
    'view-right': () => this.#fit('right'),
    'view-back': () => this.#fit('back'),
    'view-left': () => this.#fit('left'),
    'view-below': () => this.#fit('below'),
    'view-tool': () => this.#downTheTool(),
    'view-axis': () => this.#alongAnAxis(),
    'perspective': () => this.#around.change({ kind: 'perspective', perspective: !this.#state.perspective }),
    'part': () => this.#show(({ part }) => ({ part: nextShowing[part] })),
    'tool': () => this.#show(({ tool }) => ({ tool: nextShowing[tool] })),
    'stock': () => this.#show(shown => ({ bodies: { ...shown.bodies, stock: nextShowing[showingOf(shown, 'stock')] } })),
    'stock-now': () => this.#around.change({ kind: 'stock-now', stockNow: !this.#state.stockNow }),
    'around': () => this.#show(shown => this.#allAround(shown)),
    'rapids': () => this.#show(({ rapids }) => ({ rapids: !rapids })),
    'marks': () => this.#show(({ findings }) => ({ findings: !findings })),
    'figures': () => this.#show(({ figures }) => ({ figures: !figures })),
    'map': () => this.#nextMap(),
    'whiskers': () => this.#show(({ whiskers }) => ({ whiskers: !whiskers })),
    'frames': () => this.#show(({ frames }) => ({ frames: !frames })),
    'cut': () => this.#nextCut(),
    'cut-back': () => this.#shiftCut(-1),
    'cut-on': () => this.#shiftCut(1),
    'cut-turn': () => this.#around.change({ kind: 'cut', cut: { turned: !this.#state.cut.turned } }),
    'wake': () => this.#nextWake(),
    'run-from': () => this.#setRun('first'),
    'run-to': () => this.#setRun('last'),
    'measure': () => this.#around.change({ kind: 'measure', on: !this.#state.measure.on }),
    'compare': () => this.#around.compare(),
    'change-before': () => this.#stepChange(-1),
    'change-after': () => this.#stepChange(1),
    'picture': () => this.#around.keepPicture(),
    'play': () => this.#around.change({ kind: 'play', playing: !this.#state.playing }),
    'slower': () => this.#around.change({ kind: 'speed', speed: otherSpeed(this.#state.speed, -1) }),
    'faster': () => this.#around.change({ kind: 'speed', speed: otherSpeed(this.#state.speed, 1) }),
    'block-before': () => this.#step(-1),
    'block-after': () => this.#step(1),
    'finding-before': () => this.#stepFinding(-1),
    'finding-after': () => this.#stepFinding(1),
    'start': () => this.#goTo({ motion: 0, t: 0 }),
    'end': () => this.#goTo({ motion: (this.#around.loaded()?.motions?.count ?? 0) - 1, t: 1 }),
    'quantity': () => this.#around.change({ kind: 'quantity', quantity: next(quantities, this.#state.quantity) }),
    'keys': () => this.#around.showKeys(),
  }

  get #state(): ViewState { return this.#around.state() }

  #fit(view: View): void {
    this.#around.stage()?.view.fit(view)
  }

  #downTheTool(): void {
    const stage = this.#around.stage(), pose = stage?.world.pose
    if (stage === undefined || pose === undefined) return
    stage.view.lookAlong(pose.point, pose.axis)
    this.#seeThroughTool()
  }

  /** From the spindle's side a solid holder would hide all that matters. */
  #seeThroughTool(): void {
    if (this.#state.shown.tool === 'solid') this.#show(() => ({ tool: 'see-through' }))
  }

  #alongAnAxis(): void {
    const stage = this.#around.stage(), pose = stage?.world.pose, motions = this.#around.loaded()?.motions
    if (stage === undefined || pose === undefined || motions === undefined) return
    const { rotary } = motions.kinematics
    this.#axis = (this.#axis + 1) % Math.max(1, rotary.length)
    const joint = rotary[this.#axis]
    const axis = joint === undefined ? undefined : rotaryAxisInPart(motions.kinematics, joint, pose.joints)
    if (axis === undefined) return
    // From the side of the spindle.
    const sign = dot(axis, pose.axis) < 0 ? -1 : 1
    stage.view.lookAlong(pose.point, [sign * axis[0], sign * axis[1], sign * axis[2]])
    this.#seeThroughTool()
  }

  #show(make: (shown: Shown) => Partial<Shown>): void {
    this.#around.change({ kind: 'show', shown: make(this.#state.shown) })
  }

  /** All go where one more press would take the first of them. */
  #allAround(shown: Shown): Partial<Shown> {
    const bodies = this.#state.scene?.bodies ?? []
    const [first] = bodies
    if (first === undefined) return {}
    const showing = nextShowing[showingOf(shown, first)]
    return { bodies: { ...shown.bodies, ...Object.fromEntries(bodies.map(body => [bodyKey(body), showing])) } }
  }

  #nextMap(): void {
    const { mapped } = this.#state
    const to = next<MapSubject | 'none'>(['none', ...components, 'left'], mapped ?? 'none')
    this.#around.change({ kind: 'mapped', mapped: to === 'none' ? undefined : to })
  }

  /** The side toward the viewer is taken away, so that the face of the cut is seen. */
  #nextCut(): void {
    this.#around.change({ kind: 'cut', cut: { plane: next(cutOrder, this.#state.cut.plane), shift: 0, turned: false } })
    const stage = this.#around.stage(), plane = stage?.world.plane
    if (stage === undefined || plane === undefined) return
    if (dot(plane.normal, stage.view.toViewer) < 0) this.#around.change({ kind: 'cut', cut: { turned: true } })
  }

  #shiftCut(direction: 1 | -1): void {
    const stage = this.#around.stage(), { cut } = this.#state
    if (stage === undefined || cut.plane === 'off') return
    this.#around.change({ kind: 'cut', cut: { shift: cut.shift + direction * CUT_STEP * stage.view.visibleHeight } })
  }

  #nextWake(): void {
    const { wake } = this.#state
    const run = wake.kind === 'behind' ? this.#chosenRun() : undefined
    this.#around.change({ kind: 'wake', wake: run !== undefined ? { kind: 'run', ...run } : wake.kind === 'off' ? { kind: 'behind', blocks: BEHIND } : { kind: 'off' } })
  }

  /** The blocks of the selected finding, or some about the moment. */
  #chosenRun(): { first: number, last: number } | undefined {
    const { finding, scene, moment } = this.#state, motions = this.#around.loaded()?.motions
    if (motions === undefined || moment === undefined) return undefined
    const chosen = finding === undefined ? undefined : scene?.findings[finding]
    return (chosen === undefined ? undefined : motions.motionsOfLines(chosen.firstLine, chosen.lastLine))
      ?? { first: Math.max(0, moment.motion - BEHIND), last: Math.min(motions.count - 1, moment.motion + BEHIND) }
  }

  #setRun(end: 'first' | 'last'): void {
    const { wake, moment } = this.#state, motions = this.#around.loaded()?.motions
    if (motions === undefined || moment === undefined) return
    const run = motions.runOf(moment.motion)
    const { first, last } = wake.kind === 'run' ? wake : run
    const chosen = end === 'first' ? { first: run.first, last: Math.max(run.last, last) } : { first: Math.min(run.first, first), last: run.last }
    this.#around.change({ kind: 'wake', wake: { kind: 'run', ...chosen } })
  }

  #step(direction: 1 | -1): void {
    const moment = this.#around.loaded()?.motions?.step(this.#state.moment, direction)
    if (moment !== undefined) this.#around.go(moment)
  }

  #goTo(moment: Moment): void {
    if (this.#around.loaded()?.motions !== undefined) this.#around.go(moment)
  }

  #stepChange(direction: 1 | -1): void {
    const { other, moment } = this.#state
    const now = moment?.motion ?? -1
    const places = (other?.changes ?? []).map(momentOfChange)
    const to = direction === 1 ? places.find(({ motion }) => motion > now) : places.findLast(({ motion }) => motion < now)
    if (to !== undefined) this.#goTo(to)
  }

  /** By the order of the text, from the line in hand; findings of one line one after the other. */
  #stepFinding(direction: 1 | -1): void {
    const { scene, finding, line } = this.#state
    const order = [...(scene?.findings ?? []).entries()].sort(([a, one], [b, other]) => one.line - other.line || a - b).map(([index]) => index)
    const lineOf = (index: number) => scene?.findings[index]?.line ?? 0
    const at = finding === undefined ? -1 : order.indexOf(finding)
    const to = at >= 0 ? order[at + direction]
      : direction === 1 ? order.find(index => lineOf(index) > line) : order.findLast(index => lineOf(index) < line)
    if (to !== undefined) this.#around.chooseFinding(to)
  }
}

function next<T>(order: readonly T[], now: T): T {
  const [first] = order
  return order[(order.indexOf(now) + 1) % order.length] ?? first ?? now
}

/** Where a change begins in this version; where it has nothing, the end of the motion before. */
export function momentOfChange({ new: { first, end } }: MotionChange): Moment {
  return { motion: end > first ? first : Math.max(0, first - 1), t: 1 }
}

/** Where the picture goes for a finding: the moment of its line nearest to the tool point that its figure belongs to. */
export function momentOfFinding({ motions, description }: LoadedScene, finding: number): { readonly moment?: Moment, readonly run?: { readonly first: number, readonly last: number } } {
  const found = description.findings[finding]
  if (motions === undefined || found === undefined) return {}
  const own = motions.motionsOfLines(found.line, found.line)
  const run = motions.motionsOfLines(found.firstLine, found.lastLine)
  const toolPoint: Point | undefined = found.contact?.toolPoint
  if (own === undefined || toolPoint === undefined) return { moment: motions.momentAfterLine(found.line), run }
  const reader = new PoseReader(motions)
  const distance = ({ motion, t }: Moment) => {
    if (!reader.go(motion, t)) return Infinity
    const { px, py, pz } = reader.pose
    return Math.hypot(px - toolPoint[0], py - toolPoint[1], pz - toolPoint[2])
  }
  // A line that runs thousands of times is looked at where it runs first.
  return { moment: momentNearest({ first: own.first, last: Math.min(own.last, own.first + 200) }, distance), run }
}
