import type { Point } from '../../shared/finding.ts'
import { aroundBox } from '../geometry/around-box.ts'
import type { Box } from '../geometry/path-geometry.ts'
import { joinBoxes, pathBox } from '../geometry/path-geometry.ts'
import { nearestPlace } from '../geometry/pick.ts'
import { placeAt } from '../geometry/place-map.ts'
import type { RayHit } from '../geometry/ray-mesh.ts'
import { nearestOnRay } from '../geometry/ray-mesh.ts'
import type { LoadedScene } from '../scene-loader.ts'
import type { Palette } from '../theme.ts'
import { Color, ColorManagement, LinearSRGBColorSpace, Vector3, WebGLRenderer } from '../three.ts'
import type { ViewState } from '../view-state.ts'
import { DrawingPace } from './drawing-pace.ts'
import { PathPicker } from './path-picker.ts'
import { release } from './release.ts'
import { SmoothPicture } from './smooth-picture.ts'
import { ViewControl } from './view-control.ts'
import { World } from './world.ts'

/** What a click hit. */
export type Hit =
  | { readonly kind: 'finding', readonly finding: number }
  | { readonly kind: 'place', readonly place: number }
  | { readonly kind: 'line', readonly line: number, readonly motion: number }

export interface StageEvents {
  /** A picture will be drawn with the next frame of the screen. */
  readonly due: () => void
  /** After each picture; for what is laid over it. `isFull`: all that belongs to it is in it; otherwise a full one follows. */
  readonly drawn: (isFull: boolean) => void
  /** The graphics card has been taken away or given back. */
  readonly contextLost: () => void
  readonly contextRestored: () => void
}

/** How far from a coloured place a click may be, CSS pixels. */
const PLACE_REACH = 6

/** A place lies on the part's facets, give or take this share of the depth of the picture. */
const HIDDEN_BEHIND = 0.004

/**
 * The three-dimensional picture. Draws only when something has changed; there is no running loop. Where a full picture takes
 * long, changes that follow each other get quick ones: edges with steps, and no path where the part hides it.
 */
export class Stage {
  readonly view: ViewControl
  readonly #renderer: WebGLRenderer
  readonly world = new World()
  readonly #picker = new PathPicker()
  readonly #smooth = new SmoothPicture()
  readonly #pace = new DrawingPace(() => this.#request(true))
  readonly #events: StageEvents
  #loaded: LoadedScene | undefined
  #wanted: 'nothing' | 'any' | 'full' = 'nothing'
  #lost = false
  #frames = 0

  /** Throws in words where the browser has no WebGL 2. */
  constructor(canvas: HTMLCanvasElement, events: StageEvents) {
    this.#events = events
    // Colours are those of the page, as they stand; no conversion to light and back.
    ColorManagement.enabled = false
    this.#renderer = new WebGLRenderer({ canvas, antialias: false, alpha: false, powerPreference: 'high-performance' })
    this.#renderer.outputColorSpace = LinearSRGBColorSpace
    this.view = new ViewControl(canvas, () => this.request())
    canvas.addEventListener('webglcontextlost', event => {
      event.preventDefault()
      this.#lost = true
      this.#pace.forget()
      release(this.world.scene)
      this.#picker.release()
      this.#smooth.release()
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
    if (loaded.part !== old?.part || loaded.path !== old?.path) this.#pace.forget()
    this.world.setScene(loaded)
    const fitted: Box | undefined = description.part ?? pathBox(loaded.path)
    const whole = joinBoxes(joinBoxes(fitted, this.world.path.box), aroundBox(loaded))
    if (fitted !== undefined && whole !== undefined) {
      const reach = Math.max(0, ...description.tools.flatMap(tool => tool.parts.flatMap(part => part.outline.map(([radius, height]) => Math.hypot(radius, height)))))
      this.view.setBounds(widened(whole, reach), fitted)
      if (old === undefined || (old.part === undefined && old.path.flags.length < 2)) this.view.fit('corner')
    }
    this.request()
  }

  update(state: ViewState): void {
    this.view.isPerspective = state.perspective
    if (!this.world.update(state)) return
    this.#picker.cut(this.world.plane)
    this.request()
  }

  paint(palette: Palette): void {
    this.#renderer.setClearColor(new Color(palette.background), 1)
    this.world.paint(palette)
    this.request()
  }

  /** What lies at (x, y) CSS pixels from the canvas's upper left. Marks win over the path. */
  hit(x: number, y: number): Hit | undefined {
    if (this.#lost || this.#loaded === undefined) return undefined
    const { clientWidth, clientHeight } = this.#renderer.domElement
    const { marks, part, path } = this.world
    const eye = this.view.eye
    const row = nearestPlace(marks.places(eye, clientWidth, clientHeight), x, y, 9)
    const finding = row === undefined ? undefined : marks.findingAt(row)
    if (finding !== undefined) return { kind: 'finding', finding }
    const place = this.#placeAt(x, y)
    if (place !== undefined) return { kind: 'place', place }
    const vertex = this.#picker.pick(this.#renderer, eye, { part, path }, x, y)
    const line = vertex === undefined ? undefined : this.#loaded.path.lines[vertex]
    const motion = vertex === undefined ? undefined : this.#loaded.path.motions[vertex]
    return line === undefined || motion === undefined ? undefined : { kind: 'line', line, motion }
  }

  /** The coloured place at (x, y), where the part does not hide it. */
  #placeAt(x: number, y: number): number | undefined {
    const { map } = this.world.map
    if (map === undefined) return undefined
    const { clientWidth, clientHeight } = this.#renderer.domElement
    const eye = this.view.eye, at = new Vector3()
    const project = (px: number, py: number, pz: number) => {
      at.set(px, py, pz).project(eye)
      return [(at.x + 1) / 2 * clientWidth, (1 - at.y) / 2 * clientHeight, at.z] as const
    }
    const place = placeAt(map.positions, project, x, y, PLACE_REACH)
    const hit = place === undefined ? undefined : this.onPart(x, y)
    if (place === undefined || hit === undefined) return place
    const [, , depth] = project(map.positions[place * 3] ?? 0, map.positions[place * 3 + 1] ?? 0, map.positions[place * 3 + 2] ?? 0)
    return depth <= project(...hit.point)[2] + HIDDEN_BEHIND ? place : undefined
  }

  /** Where the look through (x, y) meets the part as it is shown, cut open or not. */
  onPart(x: number, y: number): RayHit | undefined {
    const corners = this.#loaded?.part
    if (corners === undefined || !this.world.part.object.visible) return undefined
    const { clientWidth, clientHeight } = this.#renderer.domElement
    const eye = this.view.eye
    const at = (depth: number): Point => {
      const place = new Vector3(x / clientWidth * 2 - 1, 1 - y / clientHeight * 2, depth).unproject(eye)
      return [place.x, place.y, place.z]
    }
    const from = at(-1), to = at(1)
    const plane = this.world.plane
    const keeps = (point: Point) => plane === undefined
      || plane.normal[0] * point[0] + plane.normal[1] * point[1] + plane.normal[2] * point[2] <= plane.offset
    return nearestOnRay(corners, from, [to[0] - from[0], to[1] - from[1], to[2] - from[2]], keeps)
  }

  /** The tool point in CSS pixels of the canvas, where there is one. */
  toolPlace(): { readonly x: number, readonly y: number } | undefined {
    const point = this.world.pose?.point
    if (point === undefined) return undefined
    const { clientWidth, clientHeight } = this.#renderer.domElement
    const place = new Vector3(...point).project(this.view.eye)
    return { x: (place.x + 1) / 2 * clientWidth, y: (1 - place.y) / 2 * clientHeight }
  }

  /** Asks for a picture; several asks before the next frame are one. */
  request(): void {
    this.#request(false)
  }

  #request(isFull: boolean): void {
    const isAsked = this.#wanted !== 'nothing'
    // A change that comes before the full picture makes it wait for the next rest.
    this.#wanted = isFull && !isAsked ? 'full' : 'any'
    if (isAsked) return
    this.#events.due()
    requestAnimationFrame(() => {
      const isQuick = this.#wanted === 'any' && this.#pace.isQuick
      this.#wanted = 'nothing'
      if (this.#lost) return
      const begin = performance.now()
      this.#draw(isQuick)
      if (isQuick) this.#pace.drewQuick()
      else this.#pace.drewFull(this.#card(), begin)
      this.#frames++
      this.#events.drawn(!isQuick)
    })
  }

  /** The full picture as it stands, drawn once more: what a canvas holds is gone when the screen has shown it. */
  snapshot(): HTMLCanvasElement | undefined {
    if (this.#lost) return undefined
    this.#draw(false)
    return this.#renderer.domElement
  }

  #draw(isQuick: boolean): void {
    this.world.scale(this.view.pixelsPerUnit, this.#renderer.getPixelRatio())
    this.world.path.showBehind(!isQuick)
    if (isQuick) this.#renderer.render(this.world.scene, this.view.eye)
    else this.#smooth.draw(this.#renderer, this.world.scene, this.view.eye)
  }

  #card(): WebGL2RenderingContext {
    const card = this.#renderer.getContext()
    if (!(card instanceof WebGL2RenderingContext)) throw new Error('The renderer draws with WebGL 2 alone.')
    return card
  }
}

function widened(box: Box, by: number): Box {
  return {
    min: [box.min[0] - by, box.min[1] - by, box.min[2] - by],
    max: [box.max[0] + by, box.max[1] + by, box.max[2] + by],
  }
}
