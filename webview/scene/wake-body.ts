import type { ToolOutline } from '../../shared/protocol/scene-messages.ts'
import type { MotionTable } from '../geometry/motion-table.ts'
import type { Plane } from '../geometry/section-plane.ts'
import { sweptSurface } from '../geometry/swept-surface.ts'
import type { Palette } from '../theme.ts'
import { BufferAttribute, BufferGeometry, Mesh } from '../three.ts'
import { setColour, setCut, setUniform, surfaceMaterial } from './surface-material.ts'

/** The surface that the cutter leaves over a run of motions. */
export class WakeBody {
  readonly object: Mesh
  readonly #material = surfaceMaterial({ facets: true, marksInside: false })
  #key = ''

  constructor() {
    this.object = new Mesh(new BufferGeometry(), this.#material)
    this.object.visible = false
    this.object.frustumCulled = false
    this.object.renderOrder = 1
    // Half seen through, the nearest sheet alone: the part under it stays visible.
    this.#material.transparent = true
    setUniform(this.#material, 'veil', 0.72)
  }

  /** `key` tells one table from another; no run: nothing is drawn. */
  set(table: MotionTable | undefined, tools: readonly ToolOutline[], run: { readonly first: number, readonly last: number } | undefined, key: string): void {
    const next = table === undefined || run === undefined ? '' : `${key} ${run.first} ${run.last}`
    if (next === this.#key) return
    this.#key = next
    this.object.geometry.dispose()
    this.object.geometry = new BufferGeometry()
    this.object.visible = next !== ''
    if (table === undefined || run === undefined) return
    const { positions, indices } = sweptSurface(table, tools, run.first, run.last)
    this.object.geometry.setAttribute('position', new BufferAttribute(positions, 3))
    this.object.geometry.setIndex(new BufferAttribute(indices, 1))
  }

  cut(plane: Plane | undefined): void {
    setCut(this.#material, plane)
  }

  paint(palette: Palette): void {
    setColour(this.#material, 'colour', palette.wake)
    setColour(this.#material, 'insideColour', palette.wake)
  }
}
