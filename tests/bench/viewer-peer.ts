// Runs in the browser: the same triangles and segments with the library's own materials, as plainly as it can be done.
import { BufferAttribute, BufferGeometry, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, PerspectiveCamera, Scene, WebGLRenderer } from 'three'
import { sampleScene } from '../webview/sample-scene.ts'

declare global {
  interface Window { drawPlainly: typeof drawPlainly }
}

function drawPlainly(triangles: number, segments: number, turns: number): { readonly first: number, readonly turns: number } {
  const { description, buffers } = sampleScene({ triangles, segments })
  const numbers = (key: string) => {
    const bytes = buffers.get(key)
    return new Float32Array(bytes?.buffer ?? new ArrayBuffer(0))
  }
  const part = numbers(description.part?.positions ?? ''), path = numbers(description.path.positions)
  const canvas = document.querySelector('canvas')
  if (canvas === null) throw new Error('The page has no canvas.')
  const renderer = new WebGLRenderer({ canvas, antialias: true })
  renderer.setSize(760, 500, false)
  // The viewer's is there as well before its data are.
  const begin = performance.now()
  const scene = new Scene()
  const body = new BufferGeometry(), lines = new BufferGeometry()
  body.setAttribute('position', new BufferAttribute(part, 3))
  lines.setAttribute('position', new BufferAttribute(path, 3))
  const index = new Uint32Array(segments * 2)
  for (let i = 0; i < segments; i++) index.set([i, i + 1], i * 2)
  lines.setIndex(new BufferAttribute(index, 1))
  scene.add(new Mesh(body, new MeshBasicMaterial({ color: 0x888888 })), new LineSegments(lines, new LineBasicMaterial({ color: 0x2266aa })))
  const camera = new PerspectiveCamera(32, 760 / 500, 1, 1000)
  const pixel = new Uint8Array(4)
  const draw = (turn: number) => {
    camera.position.set(200 * Math.sin(turn), -200 * Math.cos(turn), 120)
    camera.up.set(0, 0, 1)
    camera.lookAt(0, 0, 0)
    renderer.render(scene, camera)
    renderer.getContext().readPixels(0, 0, 1, 1, 6408, 5121, pixel)
  }
  draw(0)
  const first = performance.now() - begin
  const start = performance.now()
  for (let i = 1; i <= turns; i++) draw(i * 0.13)
  return { first, turns: turns / (performance.now() - start) * 1000 }
}

window.drawPlainly = drawPlainly
