import { sentenceOf } from '../shared/protocol/channel.ts'
import { segmentCount } from './geometry/path-geometry.ts'
import { sceneSummary } from './readout.ts'
import { Stage } from './scene/stage.ts'
import type { View } from './scene/view-control.ts'
import type { LoadedScene } from './scene-loader.ts'
import type { Palette } from './theme.ts'
import { readPalette, watchTheme } from './theme.ts'
import { element } from './ui/element.ts'
import { FindingsList } from './ui/findings-list.ts'
import { legend } from './ui/legend.ts'
import { ReadoutPanel } from './ui/readout-panel.ts'
import { Toolbar } from './ui/toolbar.ts'
import { ViewGauge } from './ui/view-gauge.ts'
import type { Change, ViewState } from './view-state.ts'
import { pictureMessage } from './view-state.ts'
import { handlePicture } from './picture-input.ts'

export interface ScreenEvents {
  readonly change: (change: Change) => void
  readonly lineChosen: (line: number) => void
  readonly findingChosen: (finding: number) => void
  readonly ruleAsked: (rule: string) => void
  readonly step: (direction: 1 | -1) => void
}

const NO_DRAWING = 'This window cannot draw in three dimensions: it offers no WebGL 2. The figures and the list of findings work all the same.'
const LOST = 'The graphics card has been taken away from this window. The picture comes back with it.'

/** Everything on the page, drawn from the state. */
export class Screen {
  readonly #root: HTMLElement
  readonly #events: ScreenEvents
  readonly #canvas: HTMLCanvasElement
  readonly #message = element('p', { class: 'message-over', attributes: { role: 'status' } })
  readonly #summary = element('p', { class: 'spoken', attributes: { id: 'picture-summary' } })
  readonly #toolbar: Toolbar
  readonly #readout = new ReadoutPanel()
  readonly #findings: FindingsList
  readonly #gauge = new ViewGauge()
  readonly #stage: Stage | undefined
  #state: ViewState | undefined

  constructor(root: HTMLElement, events: ScreenEvents) {
    this.#root = root
    this.#events = events
    this.#canvas = element('canvas', {
      attributes: {
        'tabindex': '0', 'role': 'application', 'aria-describedby': 'picture-summary',
        'aria-label': 'Part, path and tool. Arrow keys turn the view, with Shift they move it; plus and minus zoom; Page up and Page down go from block to block.',
      },
    })
    this.#toolbar = new Toolbar({
      look: view => this.#look(view),
      show: shown => events.change({ kind: 'show', shown }),
      step: events.step,
    })
    this.#findings = new FindingsList({
      chosen: finding => this.#chooseFromList(finding),
      ruleAsked: events.ruleAsked,
    })
    const picture = element('div', { class: 'picture', children: [this.#canvas, this.#gauge.object, legend(), this.#message, this.#summary] })
    const side = element('aside', { class: 'side', children: [this.#readout.object, this.#findings.object] })
    root.replaceChildren(this.#toolbar.object, picture, side)
    this.#stage = this.#openStage(picture)
    this.#paint()
    watchTheme(document, () => this.#paint())
  }

  setScene(loaded: LoadedScene): void {
    this.#stage?.setScene(loaded)
    this.#mark('triangles', String(this.#stage === undefined ? 0 : loaded.description.part?.triangles ?? 0))
    this.#mark('segments', String(this.#stage === undefined ? 0 : segmentCount(loaded.path)))
  }

  render(state: ViewState): void {
    const old = this.#state
    this.#state = state
    this.#toolbar.render(state)
    this.#readout.render(state)
    this.#findings.render(state)
    const stage = this.#stage
    if (stage !== undefined) {
      if (old?.scene !== state.scene || old?.finding !== state.finding) stage.setFindings(state.scene?.findings ?? [], state.finding)
      if (old?.pose !== state.pose || old?.scene !== state.scene || old?.line !== state.line) stage.setPose(state.line, state.pose, state.shown)
      if (old?.shown !== state.shown || old.scene !== state.scene) stage.show(state.shown)
    }
    const message = pictureMessage(state)
    this.#message.textContent = message ?? ''
    this.#message.hidden = message === undefined
    if (state.scene !== undefined) this.#summary.textContent = sceneSummary(state.scene, state.status)
    this.#markState(state, message)
  }

  #openStage(picture: HTMLElement): Stage | undefined {
    try {
      const stage = new Stage(this.#canvas, {
        due: () => this.#mark('picture', 'due'),
        drawn: () => this.#drawn(),
        contextLost: () => this.#trouble(LOST, 'lost'),
        contextRestored: () => this.#trouble(undefined, undefined),
      })
      const resize = () => stage.resize(picture.clientWidth, picture.clientHeight, window.devicePixelRatio)
      new ResizeObserver(resize).observe(picture)
      handlePicture(this.#canvas, stage, {
        hit: hit => hit.kind === 'finding' ? this.#events.findingChosen(hit.finding) : this.#events.lineChosen(hit.line),
        look: view => this.#look(view),
        step: this.#events.step,
        toggle: what => this.#toolbar.toggle(what),
      })
      return stage
    } catch (error) {
      console.error(sentenceOf(error))
      // After the constructor: the state is not there yet.
      queueMicrotask(() => this.#trouble(NO_DRAWING, 'none'))
      return undefined
    }
  }

  #look(view: View | 'all' | 'tool'): void {
    const pose = this.#state?.pose?.pose
    if (view === 'tool') {
      if (pose === undefined) return
      this.#stage?.view.lookAlong(pose.point, pose.axis)
      // From there a solid holder would hide all that matters.
      if (this.#state?.shown.tool === 'solid') this.#events.change({ kind: 'show', shown: { tool: 'see-through' } })
    } else {
      this.#stage?.view.fit(view === 'all' ? undefined : view)
    }
    this.#stage?.request()
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
  }

  #drawn(): void {
    const stage = this.#stage
    if (stage === undefined) return
    this.#gauge.render(stage.view, this.#state?.scene?.unit ?? 1)
    this.#mark('picture', 'drawn')
    this.#mark('frames', String(stage.frames))
    const at = stage.toolPlace()
    this.#mark('toolAt', at === undefined ? undefined : `${at.x.toFixed(1)},${at.y.toFixed(1)}`)
  }

  #markState(state: ViewState, message: string | undefined): void {
    const { pose, scene } = state
    this.#mark('state', state.phase.kind)
    this.#mark('message', message)
    this.#mark('line', String(state.line + 1))
    this.#mark('poseLine', pose?.pose === undefined ? undefined : String(pose.line + 1))
    const tool = pose?.pose === undefined || pose.tool === undefined ? undefined : scene?.tools[pose.tool]
    this.#mark('tool', tool === undefined ? undefined : String(tool.number))
    this.#mark('findings', String(scene?.findings.length ?? 0))
    this.#mark('selected', state.finding === undefined ? undefined : String(state.finding))
  }

  #mark(name: string, value: string | undefined): void {
    if (value === undefined) delete this.#root.dataset[name]
    else this.#root.dataset[name] = value
  }
}
