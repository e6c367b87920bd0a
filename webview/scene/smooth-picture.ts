import { BufferAttribute, BufferGeometry, Mesh, OrthographicCamera, Scene, ShaderMaterial, Vector2, WebGLRenderTarget } from '../three.ts'
import type { WebGLRenderer } from '../three.ts'
import { release } from './release.ts'
import type { Eye } from './view-control.ts'

// Smooth edges take several samples a pixel. A canvas has them always or never, and where a processor stands in for
// the graphics card they take most of the time of a picture: hence they are taken beside the canvas, when they are wanted.

/** Samples a pixel; a card that has fewer takes its most. */
const SAMPLES = 4

/** Draws a scene with smooth edges onto the renderer's canvas, which itself has one sample a pixel. */
export class SmoothPicture {
  readonly #target = new WebGLRenderTarget(1, 1, { samples: SAMPLES, resolveDepthBuffer: false })
  readonly #copy = new Scene()
  readonly #eye = new OrthographicCamera()
  readonly #size = new Vector2()

  constructor() {
    const geometry = new BufferGeometry()
    // One triangle that covers the picture.
    geometry.setAttribute('position', new BufferAttribute(Float32Array.of(-1, -1, 0, 3, -1, 0, -1, 3, 0), 3))
    const copy = new Mesh(geometry, new ShaderMaterial({
      vertexShader: 'void main() { gl_Position = vec4(position, 1.0); }',
      // Pixel for pixel: the colours are those that were drawn.
      fragmentShader: 'uniform sampler2D picture; void main() { gl_FragColor = texelFetch(picture, ivec2(gl_FragCoord.xy), 0); }',
      uniforms: { picture: { value: this.#target.texture } },
      depthTest: false,
      depthWrite: false,
    }))
    copy.frustumCulled = false
    this.#copy.add(copy)
  }

  /** See `release`. */
  release(): void {
    release(this.#copy)
    this.#target.dispose()
  }

  draw(renderer: WebGLRenderer, scene: Scene, eye: Eye): void {
    const { x, y } = renderer.getDrawingBufferSize(this.#size)
    this.#target.setSize(x, y)
    renderer.setRenderTarget(this.#target)
    try {
      renderer.render(scene, eye)
    } finally {
      renderer.setRenderTarget(null)
    }
    renderer.render(this.#copy, this.#eye)
  }
}
