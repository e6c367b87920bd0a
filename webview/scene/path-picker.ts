import { nearestId } from '../geometry/pick.ts'
import {
  BufferGeometry, Color, GLSL3, LineSegments, Mesh, Scene, ShaderMaterial, WebGLRenderTarget,
} from '../three.ts'
import type { WebGLRenderer } from '../three.ts'
import type { PartBody } from './part-body.ts'
import type { PathBody } from './path-body.ts'
import type { Plane } from '../geometry/section-plane.ts'
import { release } from './release.ts'
import { setCut, surfaceMaterial } from './surface-material.ts'
import type { Eye } from './view-control.ts'

// Which segment a click means: the path is drawn once more, into a picture of a few pixels around
// the click in which each segment's colour is its number. The graphics card does the search, needs
// no tree, and what it finds is what the user sees, half a million segments or not.

/** How far from the line a click may be, CSS pixels. */
const REACH = 6

const vertexShader = /* glsl */`
flat out highp uint segment;
void main() {
  // The second vertex of a line is the one a flat value is taken from; it names the segment.
  segment = uint(gl_VertexID);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`

const fragmentShader = /* glsl */`
flat in highp uint segment;
layout(location = 0) out highp vec4 bytes;
void main() {
  bytes = vec4(uvec4(segment, segment >> 8u, segment >> 16u, segment >> 24u) & 255u) / 255.0;
}`

export class PathPicker {
  readonly #scene = new Scene()
  readonly #part = new Mesh(new BufferGeometry(), surfaceMaterial({ facets: true, marksInside: false }))
  readonly #cutting: LineSegments
  readonly #rapid: LineSegments
  readonly #dogLeg: LineSegments
  #target: WebGLRenderTarget | undefined

  constructor() {
    const material = new ShaderMaterial({ vertexShader, fragmentShader, glslVersion: GLSL3 })
    this.#cutting = new LineSegments(new BufferGeometry(), material)
    this.#rapid = new LineSegments(new BufferGeometry(), material)
    this.#dogLeg = new LineSegments(new BufferGeometry(), material)
    // Only depth: the part hides what lies behind it.
    this.#part.material.colorWrite = false
    for (const line of [this.#cutting, this.#rapid, this.#dogLeg]) {
      line.frustumCulled = false
      line.renderOrder = 1
    }
    this.#scene.add(this.#part, this.#cutting, this.#rapid, this.#dogLeg)
  }

  cut(plane: Plane | undefined): void {
    setCut(this.#part.material, plane)
  }

  /** See `release`. */
  release(): void {
    release(this.#scene)
    this.#target?.dispose()
  }

  /**
   * The vertex that ends the segment at (x, y) CSS pixels from the canvas's upper left, or undefined.
   * Segments that the part hides count only where none lies open.
   */
  pick(renderer: WebGLRenderer, camera: Eye, bodies: { readonly part: PartBody, readonly path: PathBody }, x: number, y: number): number | undefined {
    const { part, path } = bodies
    this.#part.geometry = part.object.geometry
    this.#cutting.geometry = path.cutting.geometry
    this.#rapid.geometry = path.rapid.geometry
    this.#dogLeg.geometry = path.dogLeg.geometry
    this.#rapid.visible = this.#dogLeg.visible = path.rapid.visible
    const partHides = part.object.visible && part.object.material instanceof ShaderMaterial && !part.object.material.transparent
    return this.#look(renderer, camera, x, y, partHides) ?? (partHides ? this.#look(renderer, camera, x, y, false) : undefined)
  }

  #look(renderer: WebGLRenderer, camera: Eye, x: number, y: number, partHides: boolean): number | undefined {
    const ratio = renderer.getPixelRatio()
    const size = 2 * Math.ceil(REACH * ratio) + 1
    if (this.#target === undefined || this.#target.width !== size) {
      this.#target?.dispose()
      this.#target = new WebGLRenderTarget(size, size)
    }
    this.#part.visible = partHides
    const canvas = renderer.domElement
    const near = (size - 1) / 2
    camera.setViewOffset(canvas.width, canvas.height, Math.floor(x * ratio) - near, Math.floor(y * ratio) - near, size, size)
    const oldColour = renderer.getClearColor(new Color()), oldAlpha = renderer.getClearAlpha()
    const pixels = new Uint8Array(size * size * 4)
    try {
      renderer.setRenderTarget(this.#target)
      renderer.setClearColor(0x000000, 0)
      renderer.clear()
      renderer.render(this.#scene, camera)
      renderer.readRenderTargetPixels(this.#target, 0, 0, size, size, pixels)
    } finally {
      renderer.setRenderTarget(null)
      renderer.setClearColor(oldColour, oldAlpha)
      camera.clearViewOffset()
    }
    const id = nearestId(pixels, size)
    return id === 0 ? undefined : id
  }
}
