import { Color, DoubleSide, ShaderMaterial } from '../three.ts'

// One plain, matt surface for part and tool, lit from the viewer's upper left, so that shape reads
// the same from every side and colours are exactly those of the palette. Where the geometry has no
// normals, the facet's own one is taken from the screen: the mesh is shown as it is checked,
// facet by facet, and a million triangles need no second array.

const vertexShader = /* glsl */`
varying vec3 viewPlace;
varying vec3 viewNormal;
void main() {
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
varying vec3 viewPlace;
varying vec3 viewNormal;
void main() {
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
  #ifdef MARK_INSIDE
    // Hatched: only an open or inside-out mesh shows its inside.
    if (!gl_FrontFacing && seeThrough < 0.5) base = mix(insideColour, colour, 0.35 * step(0.5, fract((gl_FragCoord.x + gl_FragCoord.y) / 9.0)));
  #endif
  float alpha = mix(1.0, mix(0.15, 0.7, pow(1.0 - facing, 2.0)), seeThrough);
  gl_FragColor = vec4(base * light, alpha);
}`

/** `facets`: the geometry has no normals. `marksInside`: back faces are hatched. */
export function surfaceMaterial(options: { readonly facets: boolean, readonly marksInside: boolean }): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader,
    fragmentShader,
    defines: { ...options.facets ? { FACETS: '' } : {}, ...options.marksInside ? { MARK_INSIDE: '' } : {} },
    uniforms: { colour: { value: new Color() }, insideColour: { value: new Color() }, seeThrough: { value: 0 } },
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

export function setColour(material: ShaderMaterial, name: string, colour: string): void {
  const value: unknown = material.uniforms[name]?.value
  if (value instanceof Color) value.set(colour)
}

export function setUniform(material: ShaderMaterial, name: string, value: number): void {
  const uniform = material.uniforms[name]
  if (uniform !== undefined) uniform.value = value
}
