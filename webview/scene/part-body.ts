import { BufferAttribute, BufferGeometry, Mesh } from '../three.ts'
import type { Box } from '../geometry/path-geometry.ts'
import type { Palette } from '../theme.ts'
import type { Showing } from '../view-state.ts'
import type { Plane } from '../geometry/section-plane.ts'
import { sphereOf } from './sphere-of.ts'
import { setColour, setCut, setSeeThrough, surfaceMaterial } from './surface-material.ts'

/** The part's mesh. */
export class PartBody {
  readonly object: Mesh
  readonly #material = surfaceMaterial({ facets: true, marksInside: true })

  constructor() {
    this.object = new Mesh(new BufferGeometry(), this.#material)
    this.object.visible = false
  }

  /** `corners`: nine numbers a triangle. */
  set(corners: Float32Array | undefined, box: Box | undefined): void {
    this.object.geometry.dispose()
    const geometry = new BufferGeometry()
    if (corners !== undefined && box !== undefined) {
      geometry.setAttribute('position', new BufferAttribute(corners, 3))
      geometry.boundingSphere = sphereOf(box)
    }
    this.object.geometry = geometry
  }

  show(showing: Showing): void {
    this.object.visible = showing !== 'hidden' && this.object.geometry.hasAttribute('position')
    setSeeThrough(this.#material, showing === 'see-through')
  }

  cut(plane: Plane | undefined): void {
    setCut(this.#material, plane)
  }

  paint(palette: Palette): void {
    setColour(this.#material, 'colour', palette.part)
    setColour(this.#material, 'insideColour', palette.partInside)
  }
}
