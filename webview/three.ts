// The one door to three.js: what the viewer uses of it, and nothing else.
export {
  BufferAttribute, BufferGeometry, ColorManagement, CustomBlending, DoubleSide, GLSL3, GreaterDepth, Group, LessEqualDepth,
  LinearSRGBColorSpace, LineSegments, MathUtils, Matrix4, Mesh, OrthographicCamera, PerspectiveCamera, Points, Quaternion, Scene,
  ShaderMaterial, Color, Sphere, Spherical, Vector2, Vector3, Vector4, WebGLRenderer, WebGLRenderTarget,
} from 'three'
export type { Material, Object3D } from 'three'
export { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js'
export { LineSegments2 } from 'three/examples/jsm/lines/LineSegments2.js'
export { LineSegmentsGeometry } from 'three/examples/jsm/lines/LineSegmentsGeometry.js'
export { LineMaterial } from 'three/examples/jsm/lines/LineMaterial.js'
