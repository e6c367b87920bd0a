import { linkInPart } from '../geometry/pose-reader.ts'
import type { MotionTable } from '../geometry/motion-table.ts'
import type { Plane } from '../geometry/section-plane.ts'
import type { LoadedScene } from '../scene-loader.ts'
import type { Palette } from '../theme.ts'
import { BufferAttribute, BufferGeometry, Group, Matrix4, Mesh, Vector3 } from '../three.ts'
import type { ShaderMaterial } from '../three.ts'
import type { Shown } from '../view-state.ts'
import { showingOf } from '../view-state.ts'
import type { BodyDescription } from '../../shared/protocol/scene-messages.ts'
import { setColour, setCut, setSeeThrough, surfaceMaterial } from './surface-material.ts'

interface Body { readonly description: BodyDescription, readonly mesh: Mesh, readonly material: ShaderMaterial }

/** Fixtures, barriers and bodies of the machine, each on the joint that carries it. */
export class AroundBodies {
  readonly object = new Group()
  #bodies: readonly Body[] = []
  #motions: MotionTable | undefined
  #palette: Palette | undefined
  #plane: Plane | undefined

  set({ description, bodies, motions }: LoadedScene): void {
    this.#motions = motions
    for (const { mesh, material } of this.#bodies) {
      mesh.geometry.dispose()
      material.dispose()
    }
    this.object.clear()
    this.#bodies = description.bodies.map(one => {
      const geometry = new BufferGeometry()
      geometry.setAttribute('position', new BufferAttribute(bodies.get(one.positions) ?? new Float32Array(0), 3))
      const material = surfaceMaterial({ facets: true, marksInside: false })
      const mesh = new Mesh(geometry, material)
      mesh.matrixAutoUpdate = false
      this.object.add(mesh)
      return { description: one, mesh, material }
    })
    if (this.#palette !== undefined) this.paint(this.#palette)
    this.cut(this.#plane)
  }

  /** Moves the bodies of the machine to where these joints carry them. */
  place(joints: ArrayLike<number> | undefined): void {
    const motions = this.#motions
    if (joints === undefined || motions === undefined) return
    for (const { description, mesh } of this.#bodies) {
      if (description.kind !== 'machine') continue
      const [x, y, z, origin] = linkInPart(motions.kinematics, description.joint, joints)
      mesh.matrix = new Matrix4().makeBasis(new Vector3(...x), new Vector3(...y), new Vector3(...z)).setPosition(...origin)
      mesh.matrixWorldNeedsUpdate = true
    }
  }

  /** A machine whose joints are not known has no place to be drawn at. */
  show(shown: Shown, isPlaced: boolean): void {
    for (const { description, mesh, material } of this.#bodies) {
      const showing = showingOf(shown, description)
      mesh.visible = showing !== 'hidden' && (description.kind !== 'machine' || isPlaced)
      mesh.renderOrder = showing === 'see-through' ? 2 : 0
      setSeeThrough(material, showing === 'see-through')
    }
  }

  cut(plane: Plane | undefined): void {
    this.#plane = plane
    for (const { material } of this.#bodies) setCut(material, plane)
  }

  paint(palette: Palette): void {
    this.#palette = palette
    for (const { description, material } of this.#bodies) {
      setColour(material, 'colour', palette[description.kind])
      setColour(material, 'insideColour', palette.partInside)
    }
  }
}
