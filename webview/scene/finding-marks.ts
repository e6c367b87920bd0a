import type { Level } from '../../shared/finding.ts'
import type { SceneFinding } from '../../shared/protocol/scene-messages.ts'
import { BufferAttribute, BufferGeometry, Color, GreaterDepth, Group, LessEqualDepth, Points, ShaderMaterial, Vector3 } from '../three.ts'
import type { Eye } from './view-control.ts'
import type { Palette } from '../theme.ts'
import { setColour, setUniform } from './surface-material.ts'

// Marks at the places on the mesh, of one size on the screen. Level by shape: error a square on
// its corner, warning a triangle, note a disc; waived ones are hollow, those the
// proven bounds cannot decide have a hole; the selected one has a ring.

const shapeOf: Readonly<Record<Level, number>> = { error: 0, warning: 1, note: 2 }

/** CSS pixels across, ring included. */
const SIZE = 34

const vertexShader = /* glsl */`
attribute vec4 mark;
uniform float pixelRatio;
varying vec4 kind;
void main() {
  kind = mark;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  // A little nearer than the surface it lies on.
  gl_Position.z -= 0.0008 * gl_Position.w;
  gl_PointSize = ${SIZE.toFixed(1)} * pixelRatio;
}`

const fragmentShader = /* glsl */`
uniform vec3 error;
uniform vec3 warning;
uniform vec3 note;
uniform vec3 edge;
uniform vec3 ring;
uniform float alpha;
varying vec4 kind;
float shape(vec2 p) {
  if (kind.x < 0.5) return (abs(p.x) + abs(p.y)) * 0.7071 - 5.6;
  if (kind.x < 1.5) return max(dot(vec2(abs(p.x), p.y), vec2(0.866, 0.5)) - 4.3, -p.y - 4.6);
  return length(p) - 6.0;
}
void main() {
  vec2 p = (gl_PointCoord - 0.5) * vec2(${SIZE.toFixed(1)}, -${SIZE.toFixed(1)});
  vec3 colour = kind.x < 0.5 ? error : kind.x < 1.5 ? warning : note;
  float d = shape(p);
  float soft = fwidth(d);
  float outer = 1.0 - smoothstep(1.6 - soft, 1.6 + soft, d);
  float inner = 1.0 - smoothstep(-soft, soft, d);
  if (kind.z > 0.5) inner *= smoothstep(-2.4 - soft, -2.4 + soft, d);
  if (kind.w > 0.5) inner *= smoothstep(1.9 - soft, 1.9 + soft, length(p));
  vec4 result = vec4(mix(edge, colour, inner), outer);
  if (kind.y > 0.5) {
    float r = abs(length(p) - 13.5);
    float wide = 1.0 - smoothstep(2.2, 3.2, r), thin = 1.0 - smoothstep(0.7, 1.5, r);
    result = mix(result, vec4(mix(edge, ring, thin), 1.0), max(wide, 0.0) * (1.0 - outer));
  }
  if (result.a < 0.02) discard;
  gl_FragColor = vec4(result.rgb, result.a * alpha);
}`

export class FindingMarks {
  readonly object = new Group()
  readonly #front = markMaterial(false)
  readonly #behind = markMaterial(true)
  readonly #points = [new Points(new BufferGeometry(), this.#behind), new Points(new BufferGeometry(), this.#front)]
  #findings: readonly SceneFinding[] = []
  /** Findings that have a place, by their index in the scene. */
  #marked: readonly number[] = []

  constructor() {
    for (const [order, points] of this.#points.entries()) {
      points.frustumCulled = false
      points.renderOrder = 5 + order
      this.object.add(points)
    }
  }

  set(findings: readonly SceneFinding[], selected: number | undefined): void {
    this.#findings = findings
    this.#marked = findings.flatMap((finding, index) => finding.point === undefined ? [] : [index])
    // The selected one is drawn last, over its neighbours.
    this.#marked = [...this.#marked.filter(index => index !== selected), ...this.#marked.filter(index => index === selected)]
    const position = new Float32Array(this.#marked.length * 3)
    const mark = new Float32Array(this.#marked.length * 4)
    for (const [row, index] of this.#marked.entries()) {
      const finding = findings[index]
      if (finding?.point === undefined) continue
      position.set(finding.point, row * 3)
      mark.set([shapeOf[finding.level], index === selected ? 1 : 0, finding.waiver === undefined ? 0 : 1, finding.open === true ? 1 : 0], row * 4)
    }
    const geometry = new BufferGeometry()
    geometry.setAttribute('position', new BufferAttribute(position, 3))
    geometry.setAttribute('mark', new BufferAttribute(mark, 4))
    for (const points of this.#points) {
      points.geometry.dispose()
      points.geometry = geometry
    }
  }

  show(shown: boolean): void {
    this.object.visible = shown
  }

  /** x y of each mark in pixels of a canvas of this size, NaN outside; `findingAt` names them in the same order. */
  places(camera: Eye, width: number, height: number): Float64Array {
    const places = new Float64Array(this.#marked.length * 2).fill(NaN)
    if (!this.object.visible) return places
    const place = new Vector3()
    for (const [row, index] of this.#marked.entries()) {
      const point = this.#findings[index]?.point
      if (point === undefined) continue
      place.set(...point).project(camera)
      if (Math.abs(place.x) > 1 || Math.abs(place.y) > 1) continue
      places[row * 2] = (place.x + 1) / 2 * width
      places[row * 2 + 1] = (1 - place.y) / 2 * height
    }
    return places
  }

  findingAt(row: number): number | undefined {
    return this.#marked[row]
  }

  scale(pixelRatio: number): void {
    setUniform(this.#front, 'pixelRatio', pixelRatio)
    setUniform(this.#behind, 'pixelRatio', pixelRatio)
  }

  paint(palette: Palette): void {
    for (const material of [this.#front, this.#behind]) {
      setColour(material, 'error', palette.error)
      setColour(material, 'warning', palette.warning)
      setColour(material, 'note', palette.note)
      setColour(material, 'edge', palette.markEdge)
      setColour(material, 'ring', palette.current)
    }
  }
}

function markMaterial(behind: boolean): ShaderMaterial {
  const colour = () => ({ value: new Color() })
  return new ShaderMaterial({
    vertexShader,
    fragmentShader,
    uniforms: {
      error: colour(), warning: colour(), note: colour(), edge: colour(), ring: colour(),
      alpha: { value: behind ? 0.55 : 1 }, pixelRatio: { value: 1 },
    },
    transparent: true,
    depthWrite: false,
    depthFunc: behind ? GreaterDepth : LessEqualDepth,
  })
}
