import { Color, GreaterDepth, LessEqualDepth, ShaderMaterial } from '../three.ts'

/** Patterns that tell lines apart without their colour; they keep their length on the screen. */
export type LinePattern = 'solid' | 'dashed' | 'dash-dot' | 'dotted'

const vertexShader = /* glsl */`
attribute float dashStart;
varying float travelled;
void main() {
  travelled = dashStart;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`

/** What is left out of a pattern, `along` being CSS pixels. */
const gaps: Readonly<Record<LinePattern, string>> = {
  'solid': '',
  'dashed': 'if (fract(along / 11.0) > 0.55) discard;',
  'dash-dot': 'float s = fract(along / 18.0); if (s > 0.5 && (s < 0.68 || s > 0.82)) discard;',
  'dotted': 'if (fract(along / 5.0) > 0.5) discard;',
}

/** A thin line. `behind`: only where something lies in front of it. Geometries bring `dashStart`, mm along the line. */
export function lineMaterial(pattern: LinePattern, behind: boolean): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader,
    fragmentShader: /* glsl */`
uniform vec3 colour;
uniform float alpha;
uniform float pixelsPerUnit;
varying float travelled;
void main() {
  float along = travelled * pixelsPerUnit;
  ${gaps[pattern]}
  gl_FragColor = vec4(colour, alpha);
}`,
    uniforms: { colour: { value: new Color() }, alpha: { value: 1 }, pixelsPerUnit: { value: 1 } },
    transparent: behind,
    depthWrite: !behind,
    depthFunc: behind ? GreaterDepth : LessEqualDepth,
  })
}
