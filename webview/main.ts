// The viewer's page: one state, changed in one place, drawn after each change.
//
// What the page shows can be read off attributes of the element #viewer, without looking at the picture:
//   data-state       connecting, loading, ready or failed
//   data-message     the sentence over the picture; absent where there is none
//   data-triangles   triangles of the part in the picture
//   data-segments    path segments in the picture, cutting and rapid
//   data-bodies      fixtures, barriers and bodies of the machine, shown or not
//   data-motions     motions of the program
//   data-findings    findings in the list
//   data-line        1-based line of the editor's cursor, as far as the page knows
//   data-pose-line   1-based line of the figures beside the picture; absent where its pose is not known
//   data-moment      "motion,t" of the tool that is drawn, counted from 0; absent before the first motion
//   data-changes     stretches that another version runs another way; absent while none is compared
//   data-places      coloured places on the part; absent while there are no colours
//   data-stock       triangles of what is left of the stock; absent while it is not shown
//   data-playing     "yes" while the clock runs
//   data-wake        "behind" or "run" while a wake is drawn
//   data-tool        number of the tool that is drawn; absent where there is none
//   data-tool-at     "x,y" of the tool point in CSS pixels from the upper left of the canvas, after the last picture
//   data-selected    index of the selected finding in the scene; absent where there is none
//   data-picture     "due" while a change waits to be drawn, "quick" when the picture shows all of them and is to be drawn
//                    once more with all that belongs to it, "drawn" when that is done
//   data-frames      pictures drawn so far; does not grow while nothing changes
//   data-drawing     "lost" while the graphics card is not to be had, "none" where there never was one

import './style.css'
import { components } from '../shared/finding.ts'
import type { Component } from '../shared/finding.ts'
import { openChannel, sentenceOf } from '../shared/protocol/channel.ts'
import type { SceneDescription } from '../shared/protocol/scene-messages.ts'
import type { HostSide, ViewerSide } from '../shared/protocol/viewer-messages.ts'
import { VIEWER_PROTOCOL } from '../shared/protocol/viewer-messages.ts'
import { Controls, momentOfChange, momentOfFinding } from './controls.ts'
import { leftPlaces } from './geometry/left-places.ts'
import { allowedIn } from './geometry/motion-table.ts'
import type { Moment } from './geometry/motion-table.ts'
import { nearestPlaces } from './geometry/place-map.ts'
import type { PlaceMap } from './geometry/place-map.ts'
import { hostPort } from './host.ts'
import { leftText, placeText } from './lane-words.ts'
import { EchoFilter, Player } from './playback.ts'
import { captionLines } from './record-picture.ts'
import type { LoadedScene } from './scene-loader.ts'
import { SceneLoader } from './scene-loader.ts'
import { Screen } from './screen.ts'
import { firstState, update } from './view-state.ts'
import type { Change } from './view-state.ts'

const root = document.getElementById('viewer')
if (root === null) throw new Error('The page has no element #viewer.')

let state = firstState
let loaded: LoadedScene | undefined

const echoes = new EchoFilter()

const screen = new Screen(root, {
  change: apply,
  act: name => controls.act(name),
  hit: hit => {
    if (hit.kind === 'finding') chooseFinding(hit.finding)
    else if (hit.kind === 'place') choosePlace(hit.place)
    else go({ motion: hit.motion, t: 1 })
  },
  measured: ({ point }) => apply({ kind: 'measured', point }),
  findingChosen: chooseFinding,
  ruleAsked: rule => host.tell('rule/chosen', { rule }),
  changeChosen: change => go(momentOfChange(change)),
  momentChosen: drag,
  scrubbed: share => {
    const motions = loaded?.motions
    if (motions !== undefined) drag(motions.momentAt(share * motions.duration))
  },
})

const controls = new Controls({
  state: () => state,
  loaded: () => loaded,
  stage: () => screen.stage,
  change: apply,
  go,
  chooseFinding,
  showKeys: () => screen.showKeys(),
  keepPicture: () => void keepPicture(),
  compare: () => void showOther('other/choose'),
})

const player = new Player({
  moved: moment => follow(setMoment(moment)),
  ended: () => apply({ kind: 'play', playing: false }),
})

const host = openChannel<ViewerSide, HostSide>(hostPort(), {}, {
  'scene/changed': () => void readScene(),
  'line/moved': ({ line }) => {
    // While the program runs, the editor's cursor follows us, and says so a moment later.
    if (!echoes.isEcho(line, performance.now())) apply({ kind: 'line', line, moment: loaded?.motions?.momentAfterLine(line) })
  },
  'status/changed': status => apply({ kind: 'status', status }),
  'other/changed': () => void showOther('other/read'),
}, { report: problem => console.error(problem) })

const loader = new SceneLoader(host)

screen.render(state)
void open()

async function open(): Promise<void> {
  try {
    const session = await host.ask('session/open', { version: VIEWER_PROTOCOL })
    apply({ kind: 'opened', session })
    await readScene()
    if (session.isCompared === true) await showOther('other/read')
  } catch (error) {
    apply({ kind: 'failed', message: sentenceOf(error) })
  }
}

function apply(change: Change): void {
  const before = state
  state = update(state, change)
  if (state === before) return
  screen.render(state)
  if (state.playing !== before.playing) runClock()
  if (state.stockNow !== before.stockNow || state.line !== before.line || state.scene !== before.scene || state.playing !== before.playing) stockDue()
  if (state.mapped !== before.mapped || (state.mapped !== undefined && state.scene !== before.scene)) void showMap()
  if (state.line !== before.line || state.scene !== before.scene) void readPose()
}

function runClock(): void {
  if (!state.playing) {
    player.stop()
    return
  }
  const motions = loaded?.motions
  if (motions === undefined) {
    apply({ kind: 'play', playing: false })
    return
  }
  // At the end of the program it begins anew.
  if (state.moment !== undefined && state.moment.motion === motions.count - 1 && state.moment.t === 1) setMoment({ motion: 0, t: 0 })
  player.run(() => loaded?.motions === undefined ? undefined : { table: loaded.motions, moment: state.moment, speed: state.speed })
}

/** By hand: the clock stops, picture and editor go there. */
function go(moment: Moment): void {
  apply({ kind: 'play', playing: false })
  setMoment(moment)
  tellLine(state.line)
}

/** As `go`, moment after moment. */
function drag(moment: Moment): void {
  apply({ kind: 'play', playing: false })
  follow(setMoment(moment))
}

/** Gives whether the line is another one now. */
function setMoment(moment: Moment): boolean {
  const line = loaded?.motions?.path.line[moment.motion]
  if (line === undefined) return false
  const isOther = line !== state.line
  apply({ kind: 'moment', moment, line })
  return isOther
}

function chooseFinding(finding: number): void {
  if (loaded === undefined) return
  apply({ kind: 'finding', finding, ...momentOfFinding(loaded, finding) })
  tellLine(state.line)
}

/** Moves the editor's cursor. */
function tellLine(line: number): void {
  clearTimeout(waiting)
  waiting = undefined
  toldAt = performance.now()
  echoes.told(line, toldAt)
  host.tell('line/chosen', { line })
}

/** While moments follow each other, the editor's cursor is moved at most so often, ms. */
const PAUSE = 80
let toldAt = -Infinity
let waiting: ReturnType<typeof setTimeout> | undefined

/** Moves the editor's cursor after the picture, to the latest line after a pause. */
function follow(isOther: boolean): void {
  if (!isOther || waiting !== undefined) return
  const rest = PAUSE - (performance.now() - toldAt)
  if (rest <= 0) tellLine(state.line)
  else waiting = setTimeout(() => tellLine(state.line), rest)
}

/** The stock is asked for when the block stays so long, ms: the server follows the program to it. */
const STAY = 250
let stockTimer: ReturnType<typeof setTimeout> | undefined
let stockShown = false

function stockDue(): void {
  clearTimeout(stockTimer)
  if (!state.stockNow && stockShown) {
    stockShown = false
    screen.setStock(undefined)
    apply({ kind: 'notice', notice: '' })
  } else if (state.stockNow && !state.playing) {
    stockTimer = setTimeout(() => void showStock(), STAY)
  }
}

/** Shows what is left of the stock after the line in hand; says so where there is nothing to show. */
async function showStock(): Promise<void> {
  const { line, scene } = state
  try {
    const corners = await loader.loadStock(await host.ask('stock/read', { line }))
    // The block or the wish may be others by now; then another question is on its way.
    if (line !== state.line || scene !== state.scene || !state.stockNow) return
    stockShown = true
    screen.setStock(corners)
    apply({ kind: 'notice', notice: corners === undefined ? 'No stock to show: the sheet gives none, or the program has not been followed through it to its end yet.' : `Stock after line ${line + 1}; its surface is as fine as the rays it is followed on.` })
  } catch (error) {
    apply({ kind: 'notice', notice: `The stock could not be shown: ${sentenceOf(error)}` })
  }
}

let map: PlaceMap | undefined

/** Colours the part; the places are read when they are first asked for. */
async function showMap(): Promise<void> {
  const { mapped, scene } = state
  map = undefined
  try {
    const places = mapped === undefined || scene === undefined ? undefined : mapped === 'left' ? await placesLeft() : await placesNear(scene, mapped)
    // Another wish may have come meanwhile.
    if (mapped !== state.mapped || scene !== state.scene) return
    map = typeof places === 'string' ? undefined : places
    screen.setMap(map)
    apply({ kind: 'notice', notice: typeof places === 'string' ? places : '' })
  } catch (error) {
    apply({ kind: 'notice', notice: `The part could not be coloured: ${sentenceOf(error)}` })
  }
}

/** Where a component comes nearest to the part, or in a sentence why that does not show. */
async function placesNear(scene: SceneDescription, component: Component): Promise<PlaceMap | string> {
  const points = await loader.loadPoints(scene), { motions, contact } = loaded ?? {}
  if (points === undefined || motions === undefined || contact === undefined) return 'The colours show when the search has come to its end.'
  return nearestPlaces(motions, contact, points, component)
}

/** What is left on the part, or in a sentence why that does not show. */
async function placesLeft(): Promise<PlaceMap | string> {
  const answer = await host.ask('result/read', undefined)
  if ('absent' in answer) return answer.absent
  const arrays = 'waiting' in answer ? undefined : await loader.loadResult(answer)
  return 'waiting' in answer || arrays === undefined ? 'The colours show when it has been measured, after the search for contact.' : leftPlaces(answer, arrays)
}

/** A coloured place was clicked: its figure in words, and the moment's motion. */
function choosePlace(place: number): void {
  const motion = map?.motions[place], { mapped, scene } = state, { motions, contact } = loaded ?? {}
  if (map === undefined || motion === undefined || mapped === undefined || scene === undefined || motions === undefined || contact === undefined) return
  go({ motion, t: 1 })
  const words = mapped === 'left'
    ? leftText(map, place, state.line, scene.unit)
    : placeText(map, place, mapped, allowedIn(contact.limits, motion, motions.isRapid(motion), components.indexOf(mapped)), state.line, scene.unit)
  apply({ kind: 'notice', notice: words })
}

let comparisons = 0

/** Shows another version beside this one; what fails is said, and what is shown stays. */
async function showOther(question: 'other/choose' | 'other/read'): Promise<void> {
  const turn = ++comparisons
  try {
    const { other } = await host.ask(question, undefined)
    const read = other === undefined || turn !== comparisons ? undefined : await loader.loadOther(other)
    // A later question has a later answer.
    if (turn !== comparisons) return
    screen.setOther(read)
    apply({ kind: 'other', other })
  } catch (error) {
    if (turn === comparisons) apply({ kind: 'notice', notice: `The other version could not be compared: ${sentenceOf(error)}` })
  }
}

/** After an edit the versions are compared anew once the typing pauses so long, ms: both are run as a whole for it. */
const TYPING = 500
let comparing: ReturnType<typeof setTimeout> | undefined

function compareAgain(): void {
  clearTimeout(comparing)
  if (state.other !== undefined) comparing = setTimeout(() => void showOther('other/read'), TYPING)
}

async function keepPicture(): Promise<void> {
  if (loaded === undefined) return
  try {
    const png = await screen.record(captionLines(state, loaded, new Date().toLocaleString()))
    if (png === undefined) return
    const { name } = await host.ask('picture/keep', { png })
    apply({ kind: 'notice', notice: name === undefined ? '' : `The picture is kept as ${name}.` })
  } catch (error) {
    apply({ kind: 'notice', notice: `The picture could not be kept: ${sentenceOf(error)}` })
  }
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
      const isOther = next.motions !== loaded?.motions
      loaded = next
      screen.setScene(next)
      if (isOther) compareAgain()
      apply({ kind: 'loaded', scene: next.description, moment: isOther ? next.motions?.momentAfterLine(state.line) : state.moment })
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
