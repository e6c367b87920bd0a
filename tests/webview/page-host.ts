// Runs in the browser beside the viewer's bundle and plays the extension: it answers from a sample
// scene, over the real channel, and writes down what it is told. Steered by the test through `wake`.
import { openChannel } from '../../shared/protocol/channel.ts'
import { SLICE_BYTES } from '../../shared/protocol/server-messages.ts'
import type { SceneDescription } from '../../shared/protocol/scene-messages.ts'
import { VIEWER_PROTOCOL, hostChecks } from '../../shared/protocol/viewer-messages.ts'
import type { BufferSlice, HostSide, ViewerSide } from '../../shared/protocol/viewer-messages.ts'
import { sampleOther, sampleScene } from './sample-scene.ts'
import type { SampleScene, SampleSize } from './sample-scene.ts'

export interface PageHost {
  readonly lines: number[]
  readonly rules: string[]
  readonly problems: string[]
  /** Kept pictures, PNG. */
  readonly pictures: Uint8Array[]
  /** How many slices have been asked for, by key. */
  readonly slices: Record<string, number>
  /** No message is on its way, to the page or from it. */
  readonly isQuiet: boolean
  moveTo(line: number): void
  change(size: SampleSize): void
  /** What has been written down so far counts no more. */
  forget(): void
}

export interface HostPlan extends SampleSize {
  readonly version?: number
  readonly line?: number
  /** Leaves part and path away, with this note. */
  readonly nothing?: string
  /** Fails the reading of the scene with this sentence. */
  readonly fails?: string
  /** Marks when the last array has arrived and when the first picture is done, for those who measure. */
  readonly isMeasured?: boolean
  /** The sheet does not ask what is left on the part. */
  readonly unasked?: boolean
  /** A browser without WebGL. */
  readonly noDrawing?: boolean
}

declare global {
  interface Window { hostPlan: HostPlan, wake: PageHost, acquireVsCodeApi: () => { postMessage(message: unknown): void } }
}

const plan = window.hostPlan
if (plan.noDrawing === true) HTMLCanvasElement.prototype.getContext = () => null
let scene: SampleScene = sampleScene(plan)
let receive: (message: unknown) => void = () => {}
let underWay = 0

function later(deed: () => void, milliseconds = 0): void {
  underWay++
  setTimeout(() => {
    underWay--
    deed()
  }, milliseconds)
}

window.acquireVsCodeApi = () => ({
  // As the editor does: a copy, later.
  postMessage: message => {
    const copy: unknown = structuredClone(message)
    later(() => receive(copy))
  },
})

const lines: number[] = []
const rules: string[] = []
const problems: string[] = []
const pictures: Uint8Array[] = []
const slices: Record<string, number> = {}

function described(): SceneDescription {
  if (plan.nothing === undefined) return scene.description
  const { description } = scene
  return { ...description, part: undefined, path: { ...description.path, vertices: 0 }, findings: [], notes: [plan.nothing] }
}

const viewer = openChannel<HostSide, ViewerSide>({
  post: message => {
    const copy: unknown = structuredClone(message)
    later(() => window.dispatchEvent(new MessageEvent('message', { data: copy })))
  },
  listen: take => {
    receive = take
  },
}, {
  'session/open': ({ version }) => {
    if (version !== (plan.version ?? VIEWER_PROTOCOL)) throw new Error(`The viewer's page speaks version ${version}, the extension version ${plan.version}.`)
    return { program: 'inlet.nc', line: plan.line ?? 0, status: { uri: '', phase: 'done', done: 0, total: 0, message: 'Checked.' } }
  },
  'scene/read': () => {
    if (plan.fails !== undefined) throw new Error(plan.fails)
    return described()
  },
  'scene/buffer': ({ key, offset }): BufferSlice => {
    slices[key] = (slices[key] ?? 0) + 1
    if (plan.isMeasured === true) performance.mark('last-slice')
    const bytes = scene.buffers.get(key)
    return bytes === undefined ? { gone: true } : { bytes: bytes.slice(offset, offset + SLICE_BYTES), totalBytes: bytes.byteLength }
  },
  'pose/read': ({ line }) => scene.pose(line),
  'stock/read': ({ line }) => line < 12 ? {} : { triangles: 12, positions: 'nose' },
  'result/read': () => plan.unasked === true ? { absent: 'It is measured where the sheet asks for it.' } : scene.result,
  'other/choose': () => ({ other: sampleOther(scene) }),
  'other/read': () => ({ other: sampleOther(scene) }),
  'picture/keep': ({ png }) => {
    pictures.push(png)
    return { name: 'inlet.png' }
  },
}, {
  'line/chosen': ({ line }) => {
    lines.push(line)
    // The editor's cursor goes there, and says so.
    later(() => viewer.tell('line/moved', { line }), 20)
  },
  'rule/chosen': ({ rule }) => {
    rules.push(rule)
  },
}, { checks: hostChecks, report: problem => problems.push(problem) })

/** The first picture of the scene, and the first full one. */
const awaited = new Map([['first-picture', ['quick', 'drawn']], ['full-picture', ['drawn']]])
const watch = new MutationObserver(() => {
  const { state, picture = '' } = document.getElementById('viewer')?.dataset ?? {}
  for (const [mark, pictures] of awaited) {
    if (state !== 'ready' || !pictures.includes(picture)) continue
    awaited.delete(mark)
    // The card may still be at work: reading a pixel waits for it.
    document.querySelector<HTMLCanvasElement>('canvas.scene')?.getContext('webgl2')?.readPixels(0, 0, 1, 1, 6408, 5121, new Uint8Array(4))
    performance.mark(mark)
  }
})
if (plan.isMeasured === true) document.addEventListener('DOMContentLoaded', () => watch.observe(document.body, { subtree: true, attributes: true, attributeFilter: ['data-state', 'data-picture'] }))

window.wake = {
  lines, rules, problems, slices, pictures,
  get isQuiet() { return underWay === 0 },
  forget: () => {
    for (const list of [lines, rules, problems, pictures]) list.length = 0
  },
  moveTo: line => viewer.tell('line/moved', { line }),
  change: size => {
    scene = sampleScene(size)
    viewer.tell('scene/changed', undefined)
  },
}
