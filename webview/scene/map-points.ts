import { scales, STOPS } from '../../shared/colour-scale.ts'
import type { PlaceMap } from '../geometry/place-map.ts'
import { BufferAttribute, BufferGeometry, Points, ShaderMaterial, Vector3 } from '../three.ts'
import { setUniform } from './surface-material.ts'

/** Places on the part, coloured by their figures; one size on the screen. */
export class MapPoints {
  readonly object: Points<BufferGeometry, ShaderMaterial>
  #map: PlaceMap | undefined

  constructor() {
    this.object = new Points(new BufferGeometry(), new ShaderMaterial({
      vertexShader: /* glsl */`
attribute float figure;
uniform float low;
uniform float middle;
uniform float high;
uniform float pixelRatio;
varying float share;
void main() {
  share = clamp(figure < middle ? 0.5 * (figure - low) / (middle - low) : 0.5 + 0.5 * (figure - middle) / (high - middle), 0.0, 1.0);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  // Before the surface that it lies on.
  gl_Position.z -= 0.0006 * gl_Position.w;
  gl_PointSize = 6.0 * pixelRatio;
}`,
      fragmentShader: /* glsl */`
uniform vec3 stops[${STOPS}];
varying float share;
void main() {
  if (length(gl_PointCoord - 0.5) > 0.5) discard;
  float at = share * ${(STOPS - 1).toFixed(1)};
  int stop = int(min(floor(at), ${(STOPS - 2).toFixed(1)}));
  vec3 a = stops[0];
  vec3 b = stops[1];
  for (int i = 0; i < ${STOPS - 1}; i++) if (i == stop) { a = stops[i]; b = stops[i + 1]; }
  gl_FragColor = vec4(mix(a, b, at - float(stop)), 1.0);
}`,
      uniforms: {
        low: { value: 0 }, middle: { value: 0.5 }, high: { value: 1 }, pixelRatio: { value: 1 },
        stops: { value: Array.from({ length: STOPS }, () => new Vector3()) },
      },
    }))
    this.object.frustumCulled = false
    this.object.renderOrder = 1
    this.object.visible = false
  }

  get map(): PlaceMap | undefined { return this.#map }

  set(map: PlaceMap | undefined): void {
    if (map === this.#map) return
    this.#map = map
    this.object.geometry.dispose()
    this.object.geometry = new BufferGeometry()
    this.object.visible = map !== undefined && map.values.length > 0
    if (map === undefined) return
    this.object.geometry.setAttribute('position', new BufferAttribute(map.positions, 3))
    this.object.geometry.setAttribute('figure', new BufferAttribute(map.values, 1))
    for (const end of ['low', 'middle', 'high'] as const) setUniform(this.object.material, end, map[end])
    const stops = this.object.material.uniforms['stops']
    if (stops !== undefined) stops.value = scales[map.scale].map(([red, green, blue]) => new Vector3(red / 255, green / 255, blue / 255))
  }

  scale(pixelRatio: number): void {
    setUniform(this.object.material, 'pixelRatio', pixelRatio)
  }
}
