import type { Plane } from '../geometry/section-plane.ts'
import type { Palette } from '../theme.ts'
import { BufferAttribute, BufferGeometry, Mesh } from '../three.ts'
import { setColour, setCut, surfaceMaterial } from './surface-material.ts'

/** What is left of the stock at a moment: a surface for the eye, as the server has made it of its rays. */
export class CutStock {
  readonly object: Mesh
  readonly #material = surfaceMaterial({ facets: true, marksInside: false })

  constructor() {
    this.object = new Mesh(new BufferGeometry(), this.#material)
    this.object.visible = false
    this.object.frustumCulled = false
  }

  /** Nine numbers a triangle; undefined: nothing is shown. */
  set(corners: Float32Array | undefined): void {
    this.object.geometry.dispose()
    this.object.geometry = new BufferGeometry()
    this.object.visible = corners !== undefined && corners.length > 0
    if (corners !== undefined) this.object.geometry.setAttribute('position', new BufferAttribute(corners, 3))
  }

  cut(plane: Plane | undefined): void {
    setCut(this.#material, plane)
  }

  paint(palette: Palette): void {
    setColour(this.#material, 'colour', palette.stock)
    setColour(this.#material, 'insideColour', palette.partInside)
  }
}
