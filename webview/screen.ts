import { sentenceOf } from '../shared/protocol/channel.ts'
import type { ActionName } from './actions.ts'
import type { PlaceMap } from './geometry/place-map.ts'
import type { Moment } from './geometry/motion-table.ts'
import { segmentCount } from './geometry/path-geometry.ts'
import type { RayHit } from './geometry/ray-mesh.ts'
import { scaleBar } from './geometry/scale-bar.ts'
import { handlePicture } from './picture-input.ts'
import { sceneSummary } from './readout.ts'
import { recordPicture } from './record-picture.ts'
import type { Hit } from './scene/stage.ts'
import { Stage } from './scene/stage.ts'
import type { MotionChange } from '../shared/protocol/scene-messages.ts'
import type { LoadedOther, LoadedScene } from './scene-loader.ts'
import type { Palette } from './theme.ts'
import { readPalette, watchTheme } from './theme.ts'
import { element } from './ui/element.ts'
import { ChangesList } from './ui/changes-list.ts'
import { FindingsList } from './ui/findings-list.ts'
import { keysList } from './ui/keys-list.ts'
import { MapLegend } from './ui/map-legend.ts'
import { LabelsLayer } from './ui/labels-layer.ts'
import { legend } from './ui/legend.ts'
import { ReadoutPanel } from './ui/readout-panel.ts'
import { StripChart } from './ui/strip-chart.ts'
import { Toolbar } from './ui/toolbar.ts'
import { Transport } from './ui/transport.ts'
import { ViewGauge } from './ui/view-gauge.ts'
import type { Change, ViewState } from './view-state.ts'
import { pictureMessage } from './view-state.ts'

export interface ScreenEvents {
  readonly change: (change: Change) => void
  readonly act: (name: ActionName) => void
  /** The picture was clicked: on a mark, on the path, or on the part while it is measured. */
  readonly hit: (hit: Hit) => void
  readonly measured: (hit: RayHit) => void
  readonly findingChosen: (finding: number) => void
  readonly ruleAsked: (rule: string) => void
  readonly changeChosen: (change: MotionChange) => void
  readonly momentChosen: (moment: Moment) => void
  /** 0 start to 1 end of the program's time. */
  readonly scrubbed: (share: number) => void
}

const NO_DRAWING = 'This window cannot draw in three dimensions: it offers no WebGL 2. The figures and the list of findings work all the same.'
const LOST = 'The graphics card has been taken away from this window. The picture comes back with it.'

/** Longest bar on a kept picture, CSS pixels. */
const BAR = 160

/** Everything on the page, drawn from the state. */
export class Screen {
  readonly #root: HTMLElement
  readonly #events: ScreenEvents
  readonly #canvas: HTMLCanvasElement
  readonly #message = element('p', { class: 'message-over', attributes: { role: 'status' } })
  readonly #summary = element('p', { class: 'spoken', attributes: { id: 'picture-summary' } })
  readonly #hint = element('p', { class: 'hint', attributes: { role: 'status' } })
  readonly #keys = keysList()
  readonly #labels = new LabelsLayer()
  readonly #mapLegend = new MapLegend()
  readonly #toolbar: Toolbar
  readonly #transport: Transport
  readonly #strip: StripChart
  readonly #readout = new ReadoutPanel()
  readonly #findings: FindingsList
  readonly #changes: ChangesList
  readonly #gauge = new ViewGauge()
  readonly #stage: Stage | undefined
  #loaded: LoadedScene | undefined
  #state: ViewState | undefined

  constructor(root: HTMLElement, events: ScreenEvents) {
    this.#root = root
    this.#events = events
    this.#canvas = element('canvas', {
      class: 'scene',
      attributes: {
        'tabindex': '0', 'role': 'application', 'aria-describedby': 'picture-summary',
        'aria-label': 'Part, path and tool. Arrow keys turn the view, with Shift they move it; plus and minus zoom; Page up and Page down go from block to block; the question mark lists all keys.',
      },
    })
    this.#toolbar = new Toolbar({ act: events.act, show: shown => events.change({ kind: 'show', shown }) })
    this.#transport = new Transport({ act: events.act, scrubbed: events.scrubbed })
    this.#strip = new StripChart({
      quantity: quantity => events.change({ kind: 'quantity', quantity }),
      chosen: motion => events.momentChosen({ motion, t: 1 }),
    })
    this.#findings = new FindingsList({ chosen: finding => this.#chooseFromList(finding), ruleAsked: events.ruleAsked })
    this.#changes = new ChangesList({ act: events.act, chosen: events.changeChosen })
    const picture = element('div', { class: 'picture', children: [this.#canvas, this.#labels.object, this.#gauge.object, this.#mapLegend.object, legend(), this.#hint, this.#message, this.#summary] })
    const side = element('div', { class: 'side', children: [this.#readout.object, this.#changes.object, this.#findings.object] })
    const time = element('div', { class: 'time', children: [this.#transport.object, this.#strip.object] })
    // The title is the program's name, as the editor's tab has it.
    const heading = element('h1', { class: 'spoken', text: `The wake of ${document.title}` })
    root.replaceChildren(heading, this.#toolbar.object, picture, side, time, this.#keys)
    this.#stage = this.#openStage(picture)
    this.#paint()
    watchTheme(document, () => this.#paint())
  }

  /** The three-dimensional picture; undefined where the window cannot draw one. */
  get stage(): Stage | undefined { return this.#stage }

  setScene(loaded: LoadedScene): void {
    this.#loaded = loaded
    this.#stage?.setScene(loaded)
    this.#strip.setScene(loaded)
    this.#mark('triangles', String(this.#stage === undefined ? 0 : loaded.description.part?.triangles ?? 0))
    this.#mark('segments', String(this.#stage === undefined ? 0 : segmentCount(loaded.path)))
    this.#mark('bodies', String(loaded.description.bodies.length))
    this.#mark('motions', String(loaded.motions?.count ?? 0))
  }

  /** Colours the part with these places; undefined: not. */
  setMap(map: PlaceMap | undefined): void {
    this.#stage?.world.map.set(map)
    this.#mapLegend.render(map, this.#state?.mapped, this.#state?.scene?.unit ?? 1)
    this.#mark('places', map === undefined ? undefined : String(map.values.length))
    this.#stage?.request()
  }

  /** What is left of the stock, nine numbers a triangle; undefined: it is not shown. */
  setStock(corners: Float32Array | undefined): void {
    this.#stage?.world.cutStock.set(corners)
    this.#mark('stock', corners === undefined ? undefined : String(corners.length / 9))
    this.#stage?.request()
  }

  setOther(other: LoadedOther | undefined): void {
    this.#stage?.world.setOther(other)
    this.#stage?.request()
  }

  render(state: ViewState): void {
    this.#state = state
    this.#toolbar.render(state)
    this.#transport.render(state, this.#loaded?.motions)
    this.#strip.render(state)
    this.#readout.render(state)
    this.#findings.render(state)
    this.#changes.render(state)
    this.#stage?.update(state)
    const message = pictureMessage(state)
    this.#message.textContent = message ?? ''
    this.#message.hidden = message === undefined
    const hint = state.measure.on ? measureHint(state) : state.notice
    if (this.#hint.textContent !== hint) this.#hint.textContent = hint
    if (state.scene !== undefined) this.#summary.textContent = sceneSummary(state.scene, state.status)
    this.#markState(state, message)
  }

  showKeys(): void {
    this.#keys.showModal()
  }

  /** The picture with its caption, as PNG; undefined where nothing can be drawn. */
  record(caption: readonly string[]): Promise<Uint8Array> | undefined {
    const stage = this.#stage, unit = this.#state?.scene?.unit ?? 1
    const source = stage?.snapshot()
    if (stage === undefined || source === undefined) return undefined
    const style = getComputedStyle(document.body)
    return recordPicture({
      source, caption, unit, labels: stage.world.labels(), eye: stage.view.eye, bar: scaleBar(stage.view.pixelsPerUnit * unit, BAR),
      colours: { ground: readPalette(document).background, ink: style.color }, ratio: window.devicePixelRatio,
    })
  }

  #openStage(picture: HTMLElement): Stage | undefined {
    try {
      const stage = new Stage(this.#canvas, {
        due: () => this.#mark('picture', 'due'),
        drawn: isFull => this.#drawn(isFull),
        contextLost: () => this.#trouble(LOST, 'lost'),
        contextRestored: () => this.#trouble(undefined, undefined),
      })
      const resize = () => stage.resize(picture.clientWidth, picture.clientHeight, window.devicePixelRatio)
      new ResizeObserver(resize).observe(picture)
      handlePicture(this.#canvas, stage.view, {
        pressed: (x, y) => this.#pressed(stage, x, y),
        moved: () => stage.request(),
        act: this.#events.act,
        isMeasuring: () => this.#state?.measure.on === true,
      })
      return stage
    } catch (error) {
      console.error(sentenceOf(error))
      // After the constructor: the state is not there yet.
      queueMicrotask(() => this.#trouble(NO_DRAWING, 'none'))
      return undefined
    }
  }

  #pressed(stage: Stage, x: number, y: number): void {
    if (this.#state?.measure.on === true) {
      const hit = stage.onPart(x, y)
      if (hit !== undefined) this.#events.measured(hit)
    } else {
      const hit = stage.hit(x, y)
      if (hit !== undefined) this.#events.hit(hit)
    }
  }

  #chooseFromList(finding: number): void {
    this.#events.findingChosen(finding)
    const point = this.#state?.scene?.findings[finding]?.point
    if (point !== undefined) this.#stage?.view.bringToMiddle(point)
    this.#stage?.request()
  }

  #trouble(message: string | undefined, drawing: string | undefined): void {
    this.#mark('drawing', drawing)
    this.#events.change({ kind: 'drawing', trouble: message })
  }

  #paint(): void {
    const palette = readPalette(document)
    for (const [name, colour] of Object.entries(palette) as [keyof Palette, string | number][]) {
      this.#root.style.setProperty(`--wake-${name}`, String(colour))
    }
    this.#stage?.paint(palette)
    this.#strip.paint(palette)
  }

  #drawn(isFull: boolean): void {
    const stage = this.#stage
    if (stage === undefined) return
    this.#gauge.render(stage.view, this.#state?.scene?.unit ?? 1)
    this.#labels.render(stage.world.labels(), stage.view.eye, this.#canvas.clientWidth, this.#canvas.clientHeight)
    this.#mark('picture', isFull ? 'drawn' : 'quick')
    this.#mark('frames', String(stage.frames))
    const at = stage.toolPlace()
    this.#mark('toolAt', at === undefined ? undefined : `${at.x.toFixed(1)},${at.y.toFixed(1)}`)
  }

  #markState(state: ViewState, message: string | undefined): void {
    const { pose, scene, moment } = state
    this.#mark('state', state.phase.kind)
    this.#mark('message', message)
    this.#mark('line', String(state.line + 1))
    this.#mark('poseLine', pose?.pose === undefined ? undefined : String(pose.line + 1))
    this.#mark('moment', moment === undefined ? undefined : `${moment.motion},${moment.t.toFixed(4)}`)
    this.#mark('changes', state.other === undefined ? undefined : String(state.other.changes.length))
    this.#mark('playing', state.playing ? 'yes' : undefined)
    this.#mark('wake', state.wake.kind === 'off' ? undefined : state.wake.kind)
    const tool = this.#stage?.world.pose?.tool
    this.#mark('tool', tool === undefined ? undefined : String(scene?.tools[tool]?.number))
    this.#mark('findings', String(scene?.findings.length ?? 0))
    this.#mark('selected', state.finding === undefined ? undefined : String(state.finding))
  }

  #mark(name: string, value: string | undefined): void {
    if (value === undefined) delete this.#root.dataset[name]
    else this.#root.dataset[name] = value
  }
}

function measureHint({ measure: { points } }: ViewState): string {
  return points.length === 1 ? 'Click the second point on the part.' : 'Click the first point on the part, or turn it to the middle of the picture and press Enter.'
}
