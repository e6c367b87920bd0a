import type { PathArrays } from '../geometry/path-geometry.ts'
import { pathGeometry, segmentsOfLine } from '../geometry/path-geometry.ts'
import {
  BufferAttribute, BufferGeometry, Color, GreaterDepth, Group, LessEqualDepth, LineMaterial, LineSegments, LineSegments2,
  LineSegmentsGeometry, Points, ShaderMaterial,
} from '../three.ts'
import type { Palette } from '../theme.ts'
import { setColour, setUniform } from './surface-material.ts'

// Cutting motion is a solid line, rapid motion a dashed one; dashes keep their length on the
// screen. What lies behind the part shines through faintly, so that a path in a throat can be
// followed. Vertices are held once for all of it.

const vertexShader = /* glsl */`
attribute float dashStart;
varying float travelled;
void main() {
  travelled = dashStart;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`

const fragmentShader = /* glsl */`
uniform vec3 colour;
uniform float alpha;
uniform float pixelsPerUnit;
varying float travelled;
void main() {
  #ifdef DASHED
    if (fract(travelled * pixelsPerUnit / 11.0) > 0.55) discard;
  #endif
  gl_FragColor = vec4(colour, alpha);
}`

function lineMaterial(dashed: boolean, behind: boolean): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader,
    fragmentShader,
    defines: dashed ? { DASHED: '' } : {},
    uniforms: { colour: { value: new Color() }, alpha: { value: 1 }, pixelsPerUnit: { value: 1 } },
    transparent: behind,
    depthWrite: !behind,
    depthFunc: behind ? GreaterDepth : LessEqualDepth,
  })
}

export class PathBody {
  readonly object = new Group()
  readonly cutting = new LineSegments(new BufferGeometry())
  readonly rapid = new LineSegments(new BufferGeometry())
  readonly #materials = {
    cutting: lineMaterial(false, false), cuttingBehind: lineMaterial(false, true),
    rapid: lineMaterial(true, false), rapidBehind: lineMaterial(true, true),
  }
  readonly #behind: readonly LineSegments[]
  readonly #current: LineSegments2
  readonly #halo: LineSegments2
  readonly #currentMaterial = new LineMaterial({ linewidth: 3.5, depthTest: false, transparent: true })
  readonly #haloMaterial = new LineMaterial({ linewidth: 6.5, depthTest: false, transparent: true })
  /** Where the block ends: a block of a few hundredths would not be seen otherwise. */
  readonly #end = new Points(new BufferGeometry(), dotMaterial())
  #path: PathArrays | undefined

  constructor() {
    this.cutting.material = this.#materials.cutting
    this.rapid.material = this.#materials.rapid
    const cuttingBehind = new LineSegments(this.cutting.geometry, this.#materials.cuttingBehind)
    const rapidBehind = new LineSegments(this.rapid.geometry, this.#materials.rapidBehind)
    this.#behind = [cuttingBehind, rapidBehind]
    this.#halo = new LineSegments2(new LineSegmentsGeometry(), this.#haloMaterial)
    this.#current = new LineSegments2(new LineSegmentsGeometry(), this.#currentMaterial)
    for (const line of [this.cutting, this.rapid, ...this.#behind, this.#halo, this.#current, this.#end]) {
      // The boxes of half a million segments are not worth asking for: it is nearly always in view.
      line.frustumCulled = false
      line.renderOrder = 1
      this.object.add(line)
    }
    this.#halo.renderOrder = 3
    this.#current.renderOrder = 4
    this.#end.renderOrder = 4
  }

  set(path: PathArrays): void {
    this.#path = path
    const { cutting, rapid, dashStart } = pathGeometry(path)
    const position = new BufferAttribute(path.positions, 3)
    const dash = new BufferAttribute(dashStart, 1)
    const geometry = (indices: Uint32Array) => {
      const made = new BufferGeometry()
      made.setAttribute('position', position)
      made.setAttribute('dashStart', dash)
      made.setIndex(new BufferAttribute(indices, 1))
      return made
    }
    this.cutting.geometry.dispose()
    this.rapid.geometry.dispose()
    this.cutting.geometry = geometry(cutting)
    this.rapid.geometry = geometry(rapid)
    const [cuttingBehind, rapidBehind] = this.#behind
    if (cuttingBehind !== undefined) cuttingBehind.geometry = this.cutting.geometry
    if (rapidBehind !== undefined) rapidBehind.geometry = this.rapid.geometry
  }

  /** Draws the line's block strongly, in front of everything. */
  highlight(line: number): void {
    const segments = this.#path === undefined ? new Float32Array(0) : segmentsOfLine(this.#path, line)
    for (const body of [this.#halo, this.#current]) {
      body.visible = segments.length > 0
      if (!body.visible) continue
      body.geometry.dispose()
      body.geometry = new LineSegmentsGeometry().setPositions(segments)
    }
    this.#end.visible = segments.length > 0
    this.#end.geometry.dispose()
    this.#end.geometry = new BufferGeometry()
    this.#end.geometry.setAttribute('position', new BufferAttribute(segments.slice(-3), 3))
  }

  show(rapids: boolean): void {
    this.rapid.visible = rapids
    const rapidBehind = this.#behind[1]
    if (rapidBehind !== undefined) rapidBehind.visible = rapids
  }

  /** Before each picture: dashes keep their length on the screen. */
  scale(pixelsPerUnit: number, pixelRatio: number): void {
    setUniform(this.#end.material, 'pixelRatio', pixelRatio)
    setUniform(this.#materials.rapid, 'pixelsPerUnit', pixelsPerUnit)
    setUniform(this.#materials.rapidBehind, 'pixelsPerUnit', pixelsPerUnit)
  }

  paint(palette: Palette): void {
    setColour(this.#materials.cutting, 'colour', palette.cutting)
    setColour(this.#materials.cuttingBehind, 'colour', palette.cutting)
    setColour(this.#materials.rapid, 'colour', palette.rapid)
    setColour(this.#materials.rapidBehind, 'colour', palette.rapid)
    setUniform(this.#materials.cuttingBehind, 'alpha', palette.behind)
    setUniform(this.#materials.rapidBehind, 'alpha', palette.behind)
    setColour(this.#end.material, 'colour', palette.current)
    setColour(this.#end.material, 'halo', palette.currentHalo)
    this.#currentMaterial.color.set(palette.current)
    this.#haloMaterial.color.set(palette.currentHalo)
  }
}

/** A dot with a halo, of one size on the screen. */
function dotMaterial(): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader: /* glsl */`
uniform float pixelRatio;
void main() {
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  gl_PointSize = 14.0 * pixelRatio;
}`,
    fragmentShader: /* glsl */`
uniform vec3 colour;
uniform vec3 halo;
void main() {
  float d = length(gl_PointCoord - 0.5) * 14.0;
  float soft = fwidth(d);
  gl_FragColor = vec4(mix(colour, halo, smoothstep(4.0 - soft, 4.0 + soft, d)), 1.0 - smoothstep(6.2 - soft, 6.2 + soft, d));
}`,
    uniforms: { colour: { value: new Color() }, halo: { value: new Color() }, pixelRatio: { value: 1 } },
    transparent: true,
    depthTest: false,
  })
}
