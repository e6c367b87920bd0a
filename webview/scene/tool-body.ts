import type { Component, Point } from '../../shared/finding.ts'
import { components } from '../../shared/finding.ts'
import type { ToolOutline } from '../../shared/protocol/scene-messages.ts'
import { latheSurface } from '../geometry/lathe.ts'
import { BufferAttribute, BufferGeometry, Group, Mesh, Quaternion, Vector3 } from '../three.ts'
import type { ShaderMaterial } from '../three.ts'
import type { Palette } from '../theme.ts'
import type { Showing } from '../view-state.ts'
import { setColour, setSeeThrough, surfaceMaterial } from './surface-material.ts'

/** Enough that a holder of 80 mm is round to the eye. */
const SIDES = 64

/** The tool assembly at one pose: one turned body a component, each in its own shade. */
export class ToolBody {
  readonly object = new Group()
  readonly #materials: Readonly<Record<Component, ShaderMaterial>>
  #tool: ToolOutline | undefined

  constructor() {
    const make = () => surfaceMaterial({ facets: false, marksInside: false })
    this.#materials = { cutter: make(), neck: make(), shank: make(), holder: make() }
    this.object.visible = false
  }

  setTool(tool: ToolOutline | undefined): void {
    if (tool === this.#tool) return
    this.#tool = tool
    for (const child of this.object.children) {
      if (child instanceof Mesh) child.geometry.dispose()
    }
    this.object.clear()
    for (const { component, outline } of tool?.parts ?? []) {
      const surface = latheSurface(outline, SIDES)
      const geometry = new BufferGeometry()
      geometry.setAttribute('position', new BufferAttribute(surface.positions, 3))
      geometry.setAttribute('normal', new BufferAttribute(surface.normals, 3))
      geometry.setIndex(new BufferAttribute(surface.indices, 1))
      const mesh = new Mesh(geometry, this.#materials[component])
      // Drawn after the part, so that a see-through tool blends over it.
      mesh.renderOrder = 2
      this.object.add(mesh)
    }
  }

  /** `axis`: unit vector, tip to spindle; part frame. */
  place(point: Point, axis: Point): void {
    this.object.position.set(...point)
    this.object.quaternion.copy(new Quaternion().setFromUnitVectors(new Vector3(0, 0, 1), new Vector3(...axis).normalize()))
  }

  show(showing: Showing): void {
    this.object.visible = showing !== 'hidden'
    for (const component of components) setSeeThrough(this.#materials[component], showing === 'see-through')
  }

  paint(palette: Palette): void {
    for (const component of components) setColour(this.#materials[component], 'colour', palette[component])
  }
}
