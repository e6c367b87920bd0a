import type { Box, PathArrays } from '../geometry/path-geometry.ts'
import { pathGeometry, segmentsOfMotions, wholePathBox } from '../geometry/path-geometry.ts'
import {
  BufferAttribute, BufferGeometry, Color, Group, LineMaterial, LineSegments, LineSegments2, LineSegmentsGeometry, Points, ShaderMaterial,
} from '../three.ts'
import type { Palette } from '../theme.ts'
import { lineMaterial } from './line-material.ts'
import type { LinePattern } from './line-material.ts'
import { sphereOf } from './sphere-of.ts'
import { setColour, setUniform } from './surface-material.ts'

// Cutting motion is a solid line, straight rapids are dashed, rapids that do not run straight dash-dotted.
// What lies behind the part shines through faintly, so that a path in a throat can be followed. Vertices are
// held once for all of it.

const lines = ['cutting', 'rapid', 'dogLeg'] as const
const patterns: Readonly<Record<typeof lines[number], LinePattern>> = { cutting: 'solid', rapid: 'dashed', dogLeg: 'dash-dot' }

export class PathBody {
  readonly object = new Group()
  readonly cutting = new LineSegments(new BufferGeometry(), lineMaterial(patterns.cutting, false))
  readonly rapid = new LineSegments(new BufferGeometry(), lineMaterial(patterns.rapid, false))
  readonly dogLeg = new LineSegments(new BufferGeometry(), lineMaterial(patterns.dogLeg, false))
  /** The same lines where something hides them. */
  readonly #behind = {
    cutting: new LineSegments(new BufferGeometry(), lineMaterial(patterns.cutting, true)),
    rapid: new LineSegments(new BufferGeometry(), lineMaterial(patterns.rapid, true)),
    dogLeg: new LineSegments(new BufferGeometry(), lineMaterial(patterns.dogLeg, true)),
  }
  readonly #current: LineSegments2
  readonly #halo: LineSegments2
  readonly #currentMaterial = new LineMaterial({ linewidth: 3.5, depthTest: false, transparent: true })
  readonly #haloMaterial = new LineMaterial({ linewidth: 6.5, depthTest: false, transparent: true })
  /** Where the block ends: a block of a few hundredths would not be seen otherwise. */
  readonly #end = new Points(new BufferGeometry(), dotMaterial())
  #path: PathArrays | undefined
  #box: Box | undefined
  #showsRapids = true
  #showsBehind = true

  constructor() {
    this.#halo = new LineSegments2(new LineSegmentsGeometry(), this.#haloMaterial)
    this.#current = new LineSegments2(new LineSegmentsGeometry(), this.#currentMaterial)
    for (const line of [...lines.flatMap(name => [this[name], this.#behind[name]]), this.#halo, this.#current, this.#end]) {
      // The boxes of half a million segments are not worth asking for: it is nearly always in view.
      line.frustumCulled = false
      line.renderOrder = 1
      this.object.add(line)
    }
    this.#halo.renderOrder = 3
    this.#current.renderOrder = 4
    this.#end.renderOrder = 4
  }

  /** The box of everything the path touches; undefined without a segment. */
  get box(): Box | undefined { return this.#box }

  set(path: PathArrays): void {
    this.#path = path
    const { dashStart, ...indices } = pathGeometry(path)
    const box = this.#box = wholePathBox(path)
    const position = new BufferAttribute(path.positions, 3)
    const dash = new BufferAttribute(dashStart, 1)
    for (const name of lines) {
      const geometry = new BufferGeometry()
      geometry.setAttribute('position', position)
      geometry.setAttribute('dashStart', dash)
      geometry.setIndex(new BufferAttribute(indices[name], 1))
      // The library wants one to sort by, and would go through every vertex for each of the three.
      if (box !== undefined) geometry.boundingSphere = sphereOf(box)
      this[name].geometry.dispose()
      this[name].geometry = this.#behind[name].geometry = geometry
    }
  }

  /** Draws the motions [first, last] strongly, in front of everything; undefined: none. */
  highlight(run: { readonly first: number, readonly last: number } | undefined): void {
    const segments = this.#path === undefined || run === undefined ? new Float32Array(0) : segmentsOfMotions(this.#path, run.first, run.last)
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
    this.#showsRapids = rapids
    this.#showLines()
  }

  /** Whether what the part hides shines through. */
  showBehind(behind: boolean): void {
    this.#showsBehind = behind
    this.#showLines()
  }

  #showLines(): void {
    for (const name of lines) {
      this[name].visible = name === 'cutting' || this.#showsRapids
      this.#behind[name].visible = this[name].visible && this.#showsBehind
    }
  }

  /** Before each picture: dashes keep their length on the screen. */
  scale(pixelsPerUnit: number, pixelRatio: number): void {
    setUniform(this.#end.material, 'pixelRatio', pixelRatio)
    for (const name of lines) for (const line of [this[name], this.#behind[name]]) setUniform(line.material, 'pixelsPerUnit', pixelsPerUnit)
  }

  paint(palette: Palette): void {
    const colours = { cutting: palette.cutting, rapid: palette.rapid, dogLeg: palette.rapid }
    for (const name of lines) {
      for (const line of [this[name], this.#behind[name]]) setColour(line.material, 'colour', colours[name])
      setUniform(this.#behind[name].material, 'alpha', palette.behind)
    }
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
