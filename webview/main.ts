// The viewer's page: one state, changed in one place, drawn after each change.
//
// What the page shows can be read off attributes of the element #viewer, without looking at the picture:
//   data-state       connecting, loading, ready or failed
//   data-message     the sentence over the picture; absent where there is none
//   data-triangles   triangles of the part in the picture
//   data-segments    path segments in the picture, cutting and rapid
//   data-findings    findings in the list
//   data-line        1-based line of the editor's cursor, as far as the page knows
//   data-pose-line   1-based line of the pose that is drawn; absent where there is none
//   data-tool        number of the tool that is drawn; absent where there is none
//   data-tool-at     "x,y" of the tool point in CSS pixels from the upper left of the canvas, after the last picture
//   data-selected    index of the selected finding in the scene; absent where there is none
//   data-picture     "due" while a change waits to be drawn, "drawn" when the picture shows all of them
//   data-frames      pictures drawn so far; does not grow while nothing changes
//   data-drawing     "lost" while the graphics card is not to be had, "none" where there never was one

import './style.css'
import { openChannel, sentenceOf } from '../shared/protocol/channel.ts'
import type { HostSide, ViewerSide } from '../shared/protocol/viewer-messages.ts'
import { VIEWER_PROTOCOL } from '../shared/protocol/viewer-messages.ts'
import { neighbouringLine } from './geometry/path-geometry.ts'
import { hostPort } from './host.ts'
import type { LoadedScene } from './scene-loader.ts'
import { SceneLoader } from './scene-loader.ts'
import { Screen } from './screen.ts'
import { firstState, update } from './view-state.ts'
import type { Change } from './view-state.ts'

const root = document.getElementById('viewer')
if (root === null) throw new Error('The page has no element #viewer.')

let state = firstState
let loaded: LoadedScene | undefined

const screen = new Screen(root, {
  change: apply,
  lineChosen: line => {
    apply({ kind: 'line', line })
    host.tell('line/chosen', { line })
  },
  findingChosen: finding => {
    apply({ kind: 'finding', finding })
    host.tell('line/chosen', { line: state.line })
  },
  ruleAsked: rule => host.tell('rule/chosen', { rule }),
  step: direction => {
    const line = loaded === undefined ? undefined : neighbouringLine(loaded.path, state.line, direction)
    if (line === undefined) return
    apply({ kind: 'line', line })
    host.tell('line/chosen', { line })
  },
})

const host = openChannel<ViewerSide, HostSide>(hostPort(), {}, {
  'scene/changed': () => void readScene(),
  'line/moved': ({ line }) => apply({ kind: 'line', line }),
  'status/changed': status => apply({ kind: 'status', status }),
}, { report: problem => console.error(problem) })

const loader = new SceneLoader(host)

screen.render(state)
void open()

async function open(): Promise<void> {
  try {
    apply({ kind: 'opened', session: await host.ask('session/open', { version: VIEWER_PROTOCOL }) })
    await readScene()
  } catch (error) {
    apply({ kind: 'failed', message: sentenceOf(error) })
  }
}

function apply(change: Change): void {
  const before = state
  state = update(state, change)
  if (state === before) return
  screen.render(state)
  if (state.line !== before.line || state.scene !== before.scene) void readPose()
}

let reading = false
let readAgain = false

/** Reads the scene; news that arrive meanwhile lead to one more reading, not to several. */
async function readScene(): Promise<void> {
  if (reading) {
    readAgain = true
    return
  }
  reading = true
  try {
    do {
      readAgain = false
      const next = await loader.load((what, share) => apply({ kind: 'loading', what, share }))
      loaded = next
      screen.setScene(next)
      apply({ kind: 'loaded', scene: next.description })
    } while (readAgain)
  } catch (error) {
    apply({ kind: 'failed', message: sentenceOf(error) })
  } finally {
    reading = false
  }
}

let asking = false

/** Asks for the pose of the line; one question at a time, always for the latest line. */
async function readPose(): Promise<void> {
  if (asking || state.scene === undefined) return
  asking = true
  let line: number
  let scene
  do {
    line = state.line
    scene = state.scene
    try {
      apply({ kind: 'pose', pose: await host.ask('pose/read', { line }) })
    } catch (error) {
      apply({ kind: 'pose-failed', line, message: sentenceOf(error) })
    }
  } while (line !== state.line || scene !== state.scene)
  asking = false
}
