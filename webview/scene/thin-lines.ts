import { BufferAttribute, BufferGeometry, LineSegments } from '../three.ts'
import type { ShaderMaterial } from '../three.ts'
import type { LinePattern } from './line-material.ts'
import { lineMaterial } from './line-material.ts'
import { setColour, setUniform } from './surface-material.ts'

/** Thin lines of one colour and pattern, between pairs of points. */
export class ThinLines {
  readonly object: LineSegments<BufferGeometry, ShaderMaterial>

  /** `isHidden`: by what lies in front of it; otherwise it is drawn over everything. */
  constructor(pattern: LinePattern, { alpha = 1, isHidden = true } = {}) {
    const material = lineMaterial(pattern, false)
    material.transparent = alpha < 1 || !isHidden
    material.depthTest = isHidden
    setUniform(material, 'alpha', alpha)
    this.object = new LineSegments(new BufferGeometry(), material)
    this.object.frustumCulled = false
    this.object.renderOrder = 2
  }

  /** x y z of both ends of each line; part frame, mm. */
  set(positions: Float32Array): void {
    this.object.geometry.dispose()
    this.object.geometry = new BufferGeometry()
    this.object.geometry.setAttribute('position', new BufferAttribute(positions, 3))
    const along = new Float32Array(positions.length / 3)
    for (let i = 1; i < along.length; i += 2) {
      const [ax = 0, ay = 0, az = 0, bx = 0, by = 0, bz = 0] = positions.subarray(i * 3 - 3, i * 3 + 3)
      along[i] = Math.hypot(bx - ax, by - ay, bz - az)
    }
    this.object.geometry.setAttribute('dashStart', new BufferAttribute(along, 1))
  }

  scale(pixelsPerUnit: number): void {
    setUniform(this.object.material, 'pixelsPerUnit', pixelsPerUnit)
  }

  paint(colour: string): void {
    setColour(this.object.material, 'colour', colour)
  }
}
