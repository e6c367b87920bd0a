import type { Point } from '../../shared/finding.ts'
import type { Box } from '../geometry/path-geometry.ts'
import { MathUtils, OrbitControls, OrthographicCamera, PerspectiveCamera, Spherical, Vector3 } from '../three.ts'

// The camera and how it is moved. Parallel projection first: lengths can be compared all over the
// picture, and a look along the tool axis shows the tool as a circle wherever it stands. In perspective
// what lies at the point turned about has the size it has in parallel.

export type View = 'corner' | 'top' | 'front' | 'right' | 'back' | 'left' | 'below'

/** What a picture is drawn through. */
export type Eye = OrthographicCamera | PerspectiveCamera

/** Vertical angle of the perspective, degrees. */
const ANGLE = 32

/** Toward the viewer, part frame. */
const directions: Readonly<Record<View, Point>> = {
  corner: [-0.5, -0.75, 0.55],
  // Not quite from above: there the turn about Z would be undefined.
  top: [0, -1e-4, 1],
  front: [0, -1, 0],
  right: [1, 0, 0],
  back: [0, 1, 0],
  left: [-1, 0, 0],
  below: [0, -1e-4, -1],
}

export class ViewControl {
  readonly camera = new OrthographicCamera()
  readonly #controls: OrbitControls
  readonly #perspective = new PerspectiveCamera(ANGLE)
  isPerspective = false
  /** Everything that may be seen, and what a fit shows. */
  #wholeRadius = 1
  #fitted: Box = { min: [-1, -1, -1], max: [1, 1, 1] }
  #width = 1
  #height = 1
  /** The view is as a fit has left it: it is fitted to another size too. */
  #isAsFitted = false

  constructor(canvas: HTMLElement, moved: () => void) {
    this.camera.up.set(0, 0, 1)
    this.camera.position.set(...directions.corner)
    this.#controls = new OrbitControls(this.camera, canvas)
    this.#controls.enableDamping = false
    this.#controls.zoomToCursor = true
    this.#controls.addEventListener('change', moved)
    this.#controls.addEventListener('start', () => {
      this.#isAsFitted = false
    })
  }

  /** What to draw through now. */
  get eye(): Eye {
    if (!this.isPerspective) return this.camera
    const { target } = this.#controls
    const distance = this.visibleHeight / 2 / Math.tan(MathUtils.degToRad(ANGLE / 2))
    const reach = this.#wholeRadius + target.distanceTo(centre(this.#fitted))
    const eye = this.#perspective
    eye.aspect = this.#width / this.#height
    eye.near = Math.max(distance / 200, distance - reach)
    eye.far = distance + reach
    eye.position.copy(this.#toViewer()).multiplyScalar(distance).add(target)
    eye.quaternion.copy(this.camera.quaternion)
    eye.updateProjectionMatrix()
    eye.updateMatrixWorld()
    return eye
  }

  /** Unit vector from what is looked at to the viewer, part frame. */
  get toViewer(): Point {
    const { x, y, z } = this.#toViewer()
    return [x, y, z]
  }

  /** What the picture is high, mm. */
  get visibleHeight(): number {
    return (this.camera.top - this.camera.bottom) / this.camera.zoom
  }

  /** CSS pixels for one millimetre. */
  get pixelsPerUnit(): number {
    return this.camera.zoom * this.#height / (this.camera.top - this.camera.bottom)
  }

  resize(width: number, height: number): void {
    this.#width = width
    this.#height = height
    this.camera.top = 1
    this.camera.bottom = -1
    this.camera.left = -width / height
    this.camera.right = width / height
    this.camera.updateProjectionMatrix()
    if (this.#isAsFitted) this.fit()
  }

  /** `whole`: all that is drawn, wherever the view goes; `fitted`: what the first view shows. */
  setBounds(whole: Box, fitted: Box): void {
    this.#fitted = fitted
    const from = centre(fitted)
    this.#wholeRadius = Math.max(1e-3, ...[whole.min, whole.max].map(corner => from.distanceTo(new Vector3(...corner))))
    // OrbitControls stops zooming outside these; wide enough for a facet and for the whole machine.
    this.#controls.minZoom = 0.05 / this.#wholeRadius
    this.#controls.maxZoom = 2e4 / this.#wholeRadius
    this.#setDistance()
  }

  /** Looks at all of the part (or path) from one of the named sides, or from where the camera is. */
  fit(view?: View): void {
    this.#look(view === undefined ? this.#toViewer() : new Vector3(...directions[view]), centre(this.#fitted))
    this.camera.updateMatrixWorld()
    const place = new Vector3()
    const inverse = this.camera.matrixWorldInverse
    let across = 1e-9, up = 1e-9
    for (let corner = 0; corner < 8; corner++) {
      const { min, max } = this.#fitted
      place.set((corner & 1) === 0 ? min[0] : max[0], (corner & 2) === 0 ? min[1] : max[1], (corner & 4) === 0 ? min[2] : max[2])
      place.applyMatrix4(inverse)
      across = Math.max(across, Math.abs(place.x))
      up = Math.max(up, Math.abs(place.y))
    }
    this.camera.zoom = 0.88 * Math.min(this.#width / this.#height / across, 1 / up)
    this.#finish()
    this.#isAsFitted = true
  }

  /** Looks from the spindle down the axis at the tool point, at the scale in force. */
  lookAlong(point: Point, axis: Point): void {
    this.#look(new Vector3(...axis), new Vector3(...point))
    this.#finish()
  }

  /** Brings a point to the middle; the view then turns and zooms about it. */
  bringToMiddle(point: Point): void {
    this.#look(this.#toViewer(), new Vector3(...point))
    this.#finish()
  }

  /** Radians, as by hand: to the right and upward. */
  orbit(turn: number, tilt: number): void {
    // Spherical coordinates about +z: three's are about +y.
    const away = this.#toViewer()
    const spherical = new Spherical().setFromVector3(new Vector3(away.x, away.z, -away.y))
    spherical.theta -= turn
    spherical.phi = Math.min(Math.PI - 1e-3, Math.max(1e-3, spherical.phi - tilt))
    const turned = new Vector3().setFromSpherical(spherical)
    this.#look(new Vector3(turned.x, -turned.z, turned.y), this.#controls.target.clone())
    this.#finish()
  }

  /** In CSS pixels, the picture's way. */
  pan(right: number, up: number): void {
    const x = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0).multiplyScalar(-right / this.pixelsPerUnit)
    const y = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 1).multiplyScalar(-up / this.pixelsPerUnit)
    this.#look(this.#toViewer(), this.#controls.target.clone().add(x).add(y))
    this.#finish()
  }

  zoom(factor: number): void {
    this.camera.zoom = Math.min(this.#controls.maxZoom, Math.max(this.#controls.minZoom, this.camera.zoom * factor))
    this.#finish()
  }

  #look(toViewer: Vector3, at: Vector3): void {
    this.#controls.target.copy(at)
    this.camera.position.copy(toViewer).normalize().multiplyScalar(this.#distance).add(at)
    this.#setDistance()
    this.camera.lookAt(at)
  }

  get #distance(): number { return this.#wholeRadius * 3 }

  #setDistance(): void {
    // The target may be anywhere in the whole; the planes hold all of it from every side.
    const away = this.#toViewer()
    this.camera.position.copy(away).multiplyScalar(this.#distance).add(this.#controls.target)
    this.camera.near = 0
    this.camera.far = this.#distance * 2
  }

  #toViewer(): Vector3 {
    return this.camera.position.clone().sub(this.#controls.target).normalize()
  }

  #finish(): void {
    this.#isAsFitted = false
    this.camera.updateProjectionMatrix()
    this.#controls.update()
    this.camera.updateMatrixWorld()
  }
}

function centre(box: Box): Vector3 {
  return new Vector3((box.min[0] + box.max[0]) / 2, (box.min[1] + box.max[1]) / 2, (box.min[2] + box.max[2]) / 2)
}
