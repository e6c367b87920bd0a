import type { Point } from '../../shared/finding.ts'
import { levels } from '../../shared/finding.ts'
import type { SceneDescription } from '../../shared/protocol/scene-messages.ts'
import { figureLabel, measureText } from '../readout.ts'
import type { MomentPose } from '../geometry/pose-reader.ts'
import { PoseReader } from '../geometry/pose-reader.ts'
import type { Plane } from '../geometry/section-plane.ts'
import { planeOf } from '../geometry/section-plane.ts'
import { whiskers } from '../geometry/whiskers.ts'
import type { LoadedOther, LoadedScene } from '../scene-loader.ts'
import type { Palette } from '../theme.ts'
import { Scene } from '../three.ts'
import type { ViewState, Wake } from '../view-state.ts'
import { showingOf } from '../view-state.ts'
import { AroundBodies } from './around-bodies.ts'
import { CutStock } from './cut-stock.ts'
import { DifferenceBody } from './difference-body.ts'
import { FindingMarks } from './finding-marks.ts'
import { Frames } from './frames.ts'
import type { Label } from './label.ts'
import { MapPoints } from './map-points.ts'
import { PartBody } from './part-body.ts'
import { PathBody } from './path-body.ts'
import { StockBody } from './stock-body.ts'
import { ThinLines } from './thin-lines.ts'
import { ToolBody } from './tool-body.ts'
import { WakeBody } from './wake-body.ts'

/** Figures that stand beside marks: more would cover each other. */
const MOST_FIGURES = 40

/** Everything that can be seen, brought up to date from the state. */
export class World {
  readonly scene = new Scene()
  readonly part = new PartBody()
  readonly path = new PathBody()
  readonly marks = new FindingMarks()
  readonly map = new MapPoints()
  readonly cutStock = new CutStock()
  readonly #around = new AroundBodies()
  readonly #stock = new StockBody()
  readonly #tool = new ToolBody()
  readonly #wake = new WakeBody()
  readonly #frames = new Frames()
  readonly #difference = new DifferenceBody()
  readonly #whiskers = new ThinLines('solid', { alpha: 0.55 })
  readonly #measured = new ThinLines('solid', { isHidden: false })
  #loaded: LoadedScene | undefined
  #reader: PoseReader | undefined
  #pose: MomentPose | undefined
  #figures: readonly Label[] = []
  #plane: Plane | undefined
  /** The path whose whiskers are there. */
  #whiskered: LoadedScene['path'] | undefined
  #state: ViewState | undefined

  constructor() {
    this.scene.add(this.part.object, this.#around.object, this.#stock.object, this.cutStock.object, this.map.object, this.path.object, this.#tool.object, this.#wake.object,
      this.#difference.object, this.#frames.object, this.#whiskers.object, this.#measured.object, this.marks.object)
    this.#measured.object.renderOrder = 6
  }

  /** The tool at the moment; undefined where it is not known. */
  get pose(): MomentPose | undefined { return this.#pose }

  get plane(): Plane | undefined { return this.#plane }

  setScene(loaded: LoadedScene): void {
    const old = this.#loaded
    this.#loaded = loaded
    if (loaded.part !== old?.part) this.part.set(loaded.part, loaded.description.part)
    if (loaded.path !== old?.path) this.path.set(loaded.path)
    if (loaded.motions !== old?.motions) this.#reader = loaded.motions === undefined ? undefined : new PoseReader(loaded.motions)
    this.#around.set(loaded)
    this.#stock.set(loaded.description.stock)
  }

  /** Another version to show the difference from; undefined: none. */
  setOther(other: LoadedOther | undefined): void {
    this.#difference.set(other, this.#loaded?.path)
  }

  /** False where nothing that can be seen has changed. */
  update(state: ViewState): boolean {
    const old = this.#state
    this.#state = state
    const isOther = (...names: readonly (keyof ViewState)[]) => old === undefined || names.some(name => old[name] !== state[name])
    if (isOther('scene', 'finding')) this.marks.set(state.scene?.findings ?? [], state.finding)
    if (isOther('scene', 'finding', 'shown')) this.#figures = state.scene === undefined ? [] : figureLabels(state, state.scene)
    if (isOther('scene', 'moment', 'line')) this.#setMoment(state)
    if (isOther('scene', 'moment', 'wake')) this.#setWake(state)
    if (isOther('scene', 'moment', 'cut')) this.#setCut(state)
    if (isOther('measure')) this.#setMeasured(state)
    if (isOther('scene', 'shown', 'moment')) this.#show(state)
    return isOther('scene', 'finding', 'moment', 'line', 'wake', 'cut', 'measure', 'shown', 'perspective')
  }

  /** Words for points of the picture. */
  labels(): readonly Label[] {
    const state = this.#state
    if (state?.scene === undefined) return []
    return [...this.#frames.labels, ...this.#figures, ...measureLabels(state, state.scene.unit)]
  }

  scale(pixelsPerUnit: number, pixelRatio: number): void {
    this.path.scale(pixelsPerUnit, pixelRatio)
    this.marks.scale(pixelRatio)
    this.map.scale(pixelRatio)
    this.#stock.scale(pixelsPerUnit)
    this.#difference.scale(pixelsPerUnit)
  }

  paint(palette: Palette): void {
    for (const body of [this.part, this.path, this.marks, this.#around, this.#stock, this.cutStock, this.#tool, this.#wake, this.#frames, this.#difference]) body.paint(palette)
    this.#whiskers.paint(palette.cutting)
    this.#measured.paint(palette.current)
  }

  #setMoment({ moment, line }: ViewState): void {
    const motions = this.#loaded?.motions
    const isOwn = moment !== undefined && motions?.path.line[moment.motion] === line
    this.path.highlight(isOwn ? motions?.runOf(moment.motion) : undefined)
    this.#pose = moment === undefined ? undefined : this.#reader?.at(moment)
    const tool = this.#pose?.tool
    this.#tool.setTool(tool === undefined ? undefined : this.#loaded?.description.tools[tool])
    if (this.#pose !== undefined) this.#tool.place(this.#pose.point, this.#pose.axis)
    this.#around.place(this.#pose?.joints)
  }

  #setWake({ wake, moment }: ViewState): void {
    const loaded = this.#loaded, motions = loaded?.motions
    const run = wake.kind === 'run' ? wake : wake.kind === 'behind' && moment !== undefined ? behind(wake, moment.motion) : undefined
    this.#wake.set(motions, loaded?.description.tools ?? [], run, loaded?.description.motions?.buffers.joints ?? '')
  }

  #setCut({ cut, moment }: ViewState): void {
    const reader = this.#reader
    const way: Point = moment !== undefined && reader?.go(moment.motion, moment.t) === true ? [reader.pose.vx, reader.pose.vy, reader.pose.vz] : [0, 0, 0]
    this.#plane = planeOf(cut, this.#pose?.point ?? middleOf(this.#loaded?.description), this.#pose?.axis ?? [0, 0, 1], way)
    for (const body of [this.part, this.#around, this.#stock, this.cutStock, this.#wake]) body.cut(this.#plane)
  }

  #setMeasured({ measure: { points } }: ViewState): void {
    this.#measured.object.visible = points.length === 2
    if (points.length === 2) this.#measured.set(Float32Array.from(points.flat()))
  }

  #show({ shown }: ViewState): void {
    const loaded = this.#loaded
    this.part.show(shown.part)
    this.path.show(shown.rapids)
    this.#tool.show(this.#pose === undefined ? 'hidden' : shown.tool)
    this.marks.show(shown.findings)
    this.#around.show(shown, this.#pose !== undefined)
    this.#stock.show(showingOf(shown, 'stock'))
    this.#frames.show(shown.frames)
    if (shown.frames) this.#frames.place(loaded?.motions, this.#pose, 0.25 * sizeOf(loaded?.description))
    this.#whiskers.object.visible = shown.whiskers
    if (shown.whiskers && loaded?.motions !== undefined && this.#whiskered !== loaded.path) {
      this.#whiskered = loaded.path
      this.#whiskers.set(whiskers(loaded.motions, 0.06 * sizeOf(loaded.description)))
    }
  }
}

function behind({ blocks }: Extract<Wake, { kind: 'behind' }>, motion: number): { readonly first: number, readonly last: number } {
  return { first: Math.max(0, motion - blocks + 1), last: motion }
}

function middleOf(scene: SceneDescription | undefined): Point {
  if (scene?.part === undefined) return [0, 0, 0]
  const { min, max } = scene.part
  return [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2]
}

/** Largest extent of the part, mm; a hand's breadth where there is none. */
function sizeOf(scene: SceneDescription | undefined): number {
  if (scene?.part === undefined) return 100
  const { min, max } = scene.part
  return Math.max(max[0] - min[0], max[1] - min[1], max[2] - min[2])
}

/** The chosen finding's first, then the gravest, of these the deepest: they have room before others. */
function figureLabels({ shown, finding }: ViewState, { findings, unit }: SceneDescription): Label[] {
  if (!shown.findings) return []
  const labels = findings.flatMap((one, index): (Label & { readonly rank: number, readonly deep: number })[] => {
    const isChosen = index === finding
    const text = one.contact === undefined || !(shown.figures || isChosen) ? undefined : figureLabel(one.contact, unit)
    return text === undefined || one.point === undefined ? [] : [{ text, point: one.point, kind: 'figure', rank: isChosen ? levels.length : levels.indexOf(one.level), deep: one.contact?.depth ?? -(one.contact?.clearance ?? 0) }]
  })
  return labels.sort((a, b) => b.rank - a.rank || b.deep - a.deep).slice(0, MOST_FIGURES)
}

function measureLabels({ measure: { points } }: ViewState, unit: number): Label[] {
  const [a, b] = points
  if (a === undefined) return []
  if (b === undefined) return [{ text: 'from here', point: a, kind: 'measure' }]
  return [{ text: measureText(a, b, unit), point: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2], kind: 'measure' }]
}
