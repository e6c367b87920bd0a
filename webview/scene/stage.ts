import type { Point } from '../../shared/finding.ts'
import type { PoseAnswer, SceneDescription } from '../../shared/protocol/server-messages.ts'
import type { Box } from '../geometry/path-geometry.ts'
import { joinBoxes, pathBox, wholePathBox } from '../geometry/path-geometry.ts'
import { nearestPlace } from '../geometry/pick.ts'
import type { LoadedScene } from '../scene-loader.ts'
import type { Palette } from '../theme.ts'
import { Color, ColorManagement, LinearSRGBColorSpace, Scene, Vector3, WebGLRenderer } from '../three.ts'
import type { Shown } from '../view-state.ts'
import { FindingMarks } from './finding-marks.ts'
import { PartBody } from './part-body.ts'
import { PathBody } from './path-body.ts'
import { PathPicker } from './path-picker.ts'
import { ToolBody } from './tool-body.ts'
import { ViewControl } from './view-control.ts'

/** What a click hit. */
export type Hit =
  | { readonly kind: 'finding', readonly finding: number }
  | { readonly kind: 'line', readonly line: number }

export interface StageEvents {
  /** A picture will be drawn with the next frame of the screen. */
  readonly due: () => void
  /** After each picture; for what is laid over it. */
  readonly drawn: () => void
  /** The graphics card has been taken away or given back. */
  readonly contextLost: () => void
  readonly contextRestored: () => void
}

/** The three-dimensional picture. Draws only when something has changed; there is no running loop. */
export class Stage {
  readonly view: ViewControl
  readonly #renderer: WebGLRenderer
  readonly #scene = new Scene()
  readonly #part = new PartBody()
  readonly #path = new PathBody()
  readonly #tool = new ToolBody()
  readonly #marks = new FindingMarks()
  readonly #picker = new PathPicker()
  readonly #events: StageEvents
  #loaded: LoadedScene | undefined
  #tools: SceneDescription['tools'] = []
  #toolPoint: Point | undefined
  #wanted = false
  #lost = false
  #frames = 0

  /** Throws in words where the browser has no WebGL 2. */
  constructor(canvas: HTMLCanvasElement, events: StageEvents) {
    this.#events = events
    // Colours are those of the page, as they stand; no conversion to light and back.
    ColorManagement.enabled = false
    this.#renderer = new WebGLRenderer({ canvas, antialias: true, alpha: false, powerPreference: 'high-performance' })
    this.#renderer.outputColorSpace = LinearSRGBColorSpace
    this.view = new ViewControl(canvas, () => this.request())
    this.#scene.add(this.#part.object, this.#path.object, this.#tool.object, this.#marks.object)
    canvas.addEventListener('webglcontextlost', event => {
      event.preventDefault()
      this.#lost = true
      this.#events.contextLost()
    })
    canvas.addEventListener('webglcontextrestored', () => {
      this.#lost = false
      this.#events.contextRestored()
      this.request()
    })
  }

  /** Pictures drawn so far. */
  get frames(): number { return this.#frames }

  resize(width: number, height: number, pixelRatio: number): void {
    if (width < 1 || height < 1) return
    this.#renderer.setPixelRatio(pixelRatio)
    this.#renderer.setSize(width, height, false)
    this.view.resize(width, height)
    this.request()
  }

  /** Takes over a scene; what has not changed since the last one stays on the card. */
  setScene(loaded: LoadedScene): void {
    const { description } = loaded
    const old = this.#loaded
    this.#loaded = loaded
    if (loaded.part !== old?.part) this.#part.set(loaded.part, description.part)
    if (loaded.path !== old?.path) this.#path.set(loaded.path)
    this.#tools = description.tools
    const cutting = pathBox(loaded.path)
    const fitted: Box | undefined = description.part ?? cutting
    const whole = joinBoxes(joinBoxes(fitted, wholePathBox(loaded.path)), cutting)
    if (fitted !== undefined && whole !== undefined) {
      const reach = Math.max(0, ...description.tools.flatMap(tool => tool.parts.flatMap(part => part.outline.map(([radius, height]) => Math.hypot(radius, height)))))
      this.view.setBounds(widened(whole, reach), fitted)
      if (old === undefined || (old.part === undefined && old.path.flags.length < 2)) this.view.fit('corner')
    }
    this.request()
  }

  setFindings(findings: SceneDescription['findings'], selected: number | undefined): void {
    this.#marks.set(findings, selected)
    this.request()
  }

  /** Puts the tool at the pose and marks the block's own path. */
  setPose(line: number, answer: PoseAnswer | undefined, shown: Shown): void {
    this.#path.highlight(line)
    const pose = answer?.pose
    this.#tool.setTool(answer?.tool === undefined ? undefined : this.#tools[answer.tool])
    this.#toolPoint = pose?.point
    if (pose !== undefined) this.#tool.place(pose.point, pose.axis)
    this.#tool.show(pose === undefined ? 'hidden' : shown.tool)
    this.request()
  }

  show(shown: Shown): void {
    this.#part.show(shown.part)
    this.#path.show(shown.rapids)
    this.#tool.show(this.#toolPoint === undefined ? 'hidden' : shown.tool)
    this.#marks.show(shown.findings)
    this.request()
  }

  paint(palette: Palette): void {
    this.#renderer.setClearColor(new Color(palette.background), 1)
    this.#part.paint(palette)
    this.#path.paint(palette)
    this.#tool.paint(palette)
    this.#marks.paint(palette)
    this.request()
  }

  /** What lies at (x, y) CSS pixels from the canvas's upper left. Marks win over the path. */
  hit(x: number, y: number): Hit | undefined {
    if (this.#lost || this.#loaded === undefined) return undefined
    const { clientWidth, clientHeight } = this.#renderer.domElement
    const row = nearestPlace(this.#marks.places(this.view.camera, clientWidth, clientHeight), x, y, 9)
    const finding = row === undefined ? undefined : this.#marks.findingAt(row)
    if (finding !== undefined) return { kind: 'finding', finding }
    const vertex = this.#picker.pick(this.#renderer, this.view.camera, { part: this.#part, path: this.#path }, x, y)
    const line = vertex === undefined ? undefined : this.#loaded.path.lines[vertex]
    return line === undefined ? undefined : { kind: 'line', line }
  }

  /** The tool point in CSS pixels of the canvas, where there is one. */
  toolPlace(): { readonly x: number, readonly y: number } | undefined {
    if (this.#toolPoint === undefined) return undefined
    const { clientWidth, clientHeight } = this.#renderer.domElement
    const place = new Vector3(...this.#toolPoint).project(this.view.camera)
    return { x: (place.x + 1) / 2 * clientWidth, y: (1 - place.y) / 2 * clientHeight }
  }

  /** Asks for a picture; several asks before the next frame are one. */
  request(): void {
    if (this.#wanted) return
    this.#wanted = true
    this.#events.due()
    requestAnimationFrame(() => {
      this.#wanted = false
      if (this.#lost) return
      this.#path.scale(this.view.pixelsPerUnit, this.#renderer.getPixelRatio())
      this.#marks.scale(this.#renderer.getPixelRatio())
      this.#renderer.render(this.#scene, this.view.camera)
      this.#frames++
      this.#events.drawn()
    })
  }
}

function widened(box: Box, by: number): Box {
  return {
    min: [box.min[0] - by, box.min[1] - by, box.min[2] - by],
    max: [box.max[0] + by, box.max[1] + by, box.max[2] + by],
  }
}
