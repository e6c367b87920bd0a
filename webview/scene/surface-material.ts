import type { Plane } from '../geometry/section-plane.ts'
import { Color, DoubleSide, ShaderMaterial, Vector4 } from '../three.ts'

// One plain, matt surface for part and tool, lit from the viewer's upper left, so that shape reads
// the same from every side and colours are exactly those of the palette. Where the geometry has no
// normals, the facet's own one is taken from the screen: the mesh is shown as it is checked,
// facet by facet, and a million triangles need no second array.

const vertexShader = /* glsl */`
varying vec3 viewPlace;
varying vec3 viewNormal;
#ifdef CUT_OPEN
  varying vec3 worldPlace;
#endif
#ifdef PAINTED
  attribute vec4 paint;
  varying vec4 ownPaint;
#endif
void main() {
  #ifdef CUT_OPEN
    worldPlace = (modelMatrix * vec4(position, 1.0)).xyz;
  #endif
  #ifdef PAINTED
    ownPaint = paint;
  #endif
  vec4 place = modelViewMatrix * vec4(position, 1.0);
  viewPlace = place.xyz;
  #ifdef FACETS
    viewNormal = vec3(0.0);
  #else
    viewNormal = normalMatrix * normal;
  #endif
  gl_Position = projectionMatrix * place;
}`

const fragmentShader = /* glsl */`
uniform vec3 colour;
uniform vec3 insideColour;
uniform float seeThrough;
uniform float veil;
varying vec3 viewPlace;
varying vec3 viewNormal;
#ifdef CUT_OPEN
  uniform vec4 cutPlane;
  varying vec3 worldPlace;
#endif
#ifdef PAINTED
  varying vec4 ownPaint;
#endif
void main() {
  #ifdef CUT_OPEN
    if (dot(cutPlane.xyz, worldPlace) > cutPlane.w) discard;
    // What shows its inside through the cut is drawn as a flat, hatched face: the section of a closed mesh.
    if (!gl_FrontFacing && seeThrough < 0.5) {
      gl_FragColor = vec4(mix(insideColour, colour, 0.65 * step(0.72, fract((gl_FragCoord.x - gl_FragCoord.y) / 7.0))), 1.0);
      return;
    }
  #endif
  #ifdef FACETS
    vec3 n = normalize(cross(dFdx(viewPlace), dFdy(viewPlace)));
  #else
    vec3 n = normalize(viewNormal);
    if (!gl_FrontFacing) n = -n;
  #endif
  float key = max(dot(n, normalize(vec3(-0.45, 0.6, 0.66))), 0.0);
  float fill = max(dot(n, normalize(vec3(0.7, -0.25, 0.5))), 0.0);
  float facing = clamp(n.z, 0.0, 1.0);
  float light = (0.44 + 0.56 * key + 0.18 * fill) * mix(0.76, 1.0, smoothstep(0.0, 0.45, facing));
  // Thin glass is not darkened by its own shade.
  light = mix(light, max(light, 0.9), seeThrough);
  vec3 base = colour;
  #ifdef PAINTED
    base = mix(colour, ownPaint.rgb, ownPaint.a);
  #endif
  #ifdef MARK_INSIDE
    // Hatched: only an open or inside-out mesh shows its inside.
    if (!gl_FrontFacing && seeThrough < 0.5) base = mix(insideColour, colour, 0.35 * step(0.5, fract((gl_FragCoord.x + gl_FragCoord.y) / 9.0)));
  #endif
  float alpha = mix(veil, mix(0.15, 0.7, pow(1.0 - facing, 2.0)), seeThrough);
  gl_FragColor = vec4(base * light, alpha);
}`

/** `facets`: the geometry has no normals. `marksInside`: back faces are hatched. */
export function surfaceMaterial(options: { readonly facets: boolean, readonly marksInside: boolean }): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader,
    fragmentShader,
    defines: { ...options.facets ? { FACETS: '' } : {}, ...options.marksInside ? { MARK_INSIDE: '' } : {} },
    uniforms: { colour: { value: new Color() }, insideColour: { value: new Color() }, seeThrough: { value: 0 }, veil: { value: 1 }, cutPlane: { value: new Vector4() } },
    side: DoubleSide,
    // Lines that lie on the surface win over it.
    polygonOffset: true,
    polygonOffsetFactor: 1.5,
    polygonOffsetUnits: 2,
  })
}

export function setSeeThrough(material: ShaderMaterial, seeThrough: boolean): void {
  setUniform(material, 'seeThrough', seeThrough ? 1 : 0)
  material.transparent = seeThrough
  material.depthWrite = !seeThrough
}

/** Takes away what lies beyond the plane; undefined: nothing. World frame, which is the part's. */
export function setCut(material: ShaderMaterial, plane: Plane | undefined): void {
  const isCut = 'CUT_OPEN' in material.defines
  if (plane !== undefined) {
    const value: unknown = material.uniforms['cutPlane']?.value
    if (value instanceof Vector4) value.set(...plane.normal, plane.offset)
  }
  if (isCut === (plane !== undefined)) return
  if (plane === undefined) delete material.defines['CUT_OPEN']
  else material.defines['CUT_OPEN'] = ''
  material.needsUpdate = true
}

export function setColour(material: ShaderMaterial, name: string, colour: string): void {
  const value: unknown = material.uniforms[name]?.value
  if (value instanceof Color) value.set(colour)
}

export function setUniform(material: ShaderMaterial, name: string, value: number): void {
  const uniform = material.uniforms[name]
  if (uniform !== undefined) uniform.value = value
}
