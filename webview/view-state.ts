import type { Point } from '../shared/finding.ts'
import type { BodyDescription, OtherVersion, SceneDescription, SceneFinding } from '../shared/protocol/scene-messages.ts'
import type { PoseAnswer, Status } from '../shared/protocol/server-messages.ts'
import type { Session } from '../shared/protocol/viewer-messages.ts'
import type { Quantity } from './geometry/lanes.ts'
import type { Moment } from './geometry/motion-table.ts'
import type { MapSubject } from './geometry/place-map.ts'
import type { Cut } from './geometry/section-plane.ts'

// Everything the viewer shows, as data. What happens is a change; `update` alone says what it
// makes of the state. Lines are 0-based here and 1-based only in words.

export type Phase =
  | { readonly kind: 'connecting' }
  /** The first scene is on its way. `share`: 0 to 1, or undefined while the size is not known. */
  | { readonly kind: 'loading', readonly what: string, readonly share?: number }
  | { readonly kind: 'ready' }
  | { readonly kind: 'failed', readonly message: string }

/** How a body is drawn. */
export type Showing = 'solid' | 'see-through' | 'hidden'

export interface Shown {
  readonly part: Showing
  readonly tool: Showing
  /** Fixtures, barriers and bodies of the machine, by `bodyKey`, and the stock by `stock`: those that are not as they start. */
  readonly bodies: Readonly<Record<string, Showing>>
  readonly rapids: boolean
  readonly findings: boolean
  /** The figure beside each mark. */
  readonly figures: boolean
  /** Tool axes along the path. */
  readonly whiskers: boolean
  /** The axes of part, machine and tool. */
  readonly frames: boolean
}

/** Speeds of the clock, in seconds of the program for one second. */
export const speeds = [0.1, 0.25, 1, 4, 15, 60, 240] as const

/** Which motions' wake is drawn: none, those behind the tool, or a chosen run. */
export type Wake =
  | { readonly kind: 'off' }
  | { readonly kind: 'behind', readonly blocks: number }
  | { readonly kind: 'run', readonly first: number, readonly last: number }

/** Two points on the part are measured; fewer: still to be picked. */
export interface Measure {
  readonly on: boolean
  readonly points: readonly Point[]
}

export interface ViewState {
  readonly phase: Phase
  readonly program: string
  readonly scene: SceneDescription | undefined
  /** The editor's line; `pose` may still be that of an earlier one. */
  readonly line: number
  readonly pose: PoseAnswer | undefined
  /** What the picture shows of the program's time; undefined before the first motion. */
  readonly moment: Moment | undefined
  readonly playing: boolean
  readonly speed: number
  readonly wake: Wake
  readonly cut: Cut
  readonly measure: Measure
  readonly perspective: boolean
  readonly quantity: Quantity
  /** The stock is shown as it stands after the line. */
  readonly stockNow: boolean
  /** What colours the part; undefined: nothing. */
  readonly mapped: MapSubject | undefined
  /** The version that this one is compared with. */
  readonly other: OtherVersion | undefined
  /** What a deed has come to, in a sentence; empty: nothing to say. */
  readonly notice: string
  readonly status: Status | undefined
  /** Index into the scene's findings. */
  readonly finding: number | undefined
  readonly shown: Shown
  /** Why nothing can be drawn, or that a later scene could not be read: a sentence, beside whatever still shows. */
  readonly drawingTrouble: string | undefined
  readonly readingTrouble: string | undefined
}

export type Change =
  | { readonly kind: 'opened', readonly session: Session }
  | { readonly kind: 'loading', readonly what: string, readonly share?: number }
  | { readonly kind: 'loaded', readonly scene: SceneDescription, readonly moment?: Moment }
  | { readonly kind: 'failed', readonly message: string }
  | { readonly kind: 'line', readonly line: number, readonly moment?: Moment }
  /** The clock or a hand has gone to a moment; `line`: of its motion. */
  | { readonly kind: 'moment', readonly moment: Moment, readonly line: number }
  | { readonly kind: 'play', readonly playing: boolean }
  | { readonly kind: 'speed', readonly speed: number }
  | { readonly kind: 'wake', readonly wake: Wake }
  | { readonly kind: 'cut', readonly cut: Partial<Cut> }
  | { readonly kind: 'measure', readonly on: boolean }
  | { readonly kind: 'measured', readonly point: Point }
  | { readonly kind: 'perspective', readonly perspective: boolean }
  | { readonly kind: 'stock-now', readonly stockNow: boolean }
  | { readonly kind: 'mapped', readonly mapped: MapSubject | undefined }
  | { readonly kind: 'other', readonly other: OtherVersion | undefined }
  | { readonly kind: 'notice', readonly notice: string }
  | { readonly kind: 'quantity', readonly quantity: Quantity }
  | { readonly kind: 'pose', readonly pose: PoseAnswer }
  | { readonly kind: 'pose-failed', readonly line: number, readonly message: string }
  | { readonly kind: 'status', readonly status: Status }
  | { readonly kind: 'finding', readonly finding: number, readonly moment?: Moment, readonly run?: { readonly first: number, readonly last: number } }
  | { readonly kind: 'show', readonly shown: Partial<Shown> }
  | { readonly kind: 'drawing', readonly trouble: string | undefined }

export const firstState: ViewState = {
  phase: { kind: 'connecting' },
  program: '',
  scene: undefined,
  line: 0,
  pose: undefined,
  moment: undefined,
  playing: false,
  speed: 1,
  wake: { kind: 'off' },
  cut: { plane: 'off', shift: 0, turned: false },
  measure: { on: false, points: [] },
  perspective: false,
  quantity: 'clearance',
  stockNow: false,
  mapped: undefined,
  other: undefined,
  notice: '',
  status: undefined,
  finding: undefined,
  shown: { part: 'solid', tool: 'solid', bodies: {}, rapids: true, findings: true, figures: false, whiskers: false, frames: false },
  drawingTrouble: undefined,
  readingTrouble: undefined,
}

export function update(state: ViewState, change: Change): ViewState {
  switch (change.kind) {
    case 'opened':
      return { ...state, program: change.session.program, line: change.session.line, status: change.session.status }
    case 'loading':
      // A scene that shows stays while its successor is read.
      return state.scene !== undefined ? state : { ...state, phase: { kind: 'loading', what: change.what, share: change.share } }
    case 'loaded':
      return {
        ...state,
        phase: { kind: 'ready' },
        scene: change.scene,
        // The motions may be others now: the moment is that of the line, and a run that was chosen is no longer known.
        moment: change.moment,
        playing: state.playing && sameMotions(state.scene, change.scene),
        wake: state.wake.kind !== 'run' || sameMotions(state.scene, change.scene) ? state.wake : { kind: 'off' },
        finding: sameFinding(state, change.scene),
        readingTrouble: undefined,
      }
    case 'failed':
      return state.scene !== undefined
        ? { ...state, readingTrouble: change.message }
        : { ...state, phase: { kind: 'failed', message: change.message } }
    case 'line':
      return change.line === state.line ? state : { ...state, line: change.line, moment: change.moment, playing: false, finding: findingStillMeant(state, change.line) }
    case 'moment':
      return { ...state, moment: change.moment, line: change.line, finding: change.line === state.line ? state.finding : findingStillMeant(state, change.line) }
    case 'play':
      return change.playing === state.playing ? state : { ...state, playing: change.playing }
    case 'speed':
      return { ...state, speed: change.speed }
    case 'wake':
      return { ...state, wake: change.wake }
    case 'cut':
      return { ...state, cut: { ...state.cut, ...change.cut } }
    case 'measure':
      return { ...state, measure: { on: change.on, points: [] } }
    case 'measured':
      // A third point begins anew.
      return { ...state, measure: { ...state.measure, points: [...state.measure.points.length < 2 ? state.measure.points : [], change.point] } }
    case 'perspective':
      return { ...state, perspective: change.perspective }
    case 'stock-now':
      return { ...state, stockNow: change.stockNow }
    case 'mapped':
      return { ...state, mapped: change.mapped }
    case 'other':
      return { ...state, other: change.other }
    case 'notice':
      return { ...state, notice: change.notice }
    case 'quantity':
      return { ...state, quantity: change.quantity }
    case 'pose':
      // The answer to an earlier line comes too late: the next one is on its way.
      return change.pose.line === state.line ? { ...state, pose: change.pose, readingTrouble: undefined } : state
    case 'pose-failed':
      return change.line === state.line ? { ...state, pose: undefined, readingTrouble: change.message } : state
    case 'status':
      return { ...state, status: change.status }
    case 'finding': {
      const finding = state.scene?.findings[change.finding]
      if (finding === undefined) return state
      // A wake that shows a chosen run goes with the finding.
      const wake = state.wake.kind === 'run' && change.run !== undefined ? { kind: 'run' as const, ...change.run } : state.wake
      return { ...state, finding: change.finding, line: finding.line, moment: change.moment ?? state.moment, playing: false, wake }
    }
    case 'show':
      return { ...state, shown: { ...state.shown, ...change.shown } }
    case 'drawing':
      return { ...state, drawingTrouble: change.trouble }
    default:
      return change satisfies never
  }
}

function sameMotions(before: SceneDescription | undefined, after: SceneDescription): boolean {
  return before?.motions?.buffers.joints === after.motions?.buffers.joints
}

/** What one more press makes of a body. */
export const nextShowing: Readonly<Record<Showing, Showing>> = { 'solid': 'see-through', 'see-through': 'hidden', 'hidden': 'solid' }

/** Under which name `Shown.bodies` keeps a body. */
export function bodyKey({ kind, name }: BodyDescription): string {
  return `${kind} ${name}`
}

/** How a body starts: what is in the way of looking at the part is seen through, the machine is left away. */
const startsAs: Readonly<Record<BodyDescription['kind'] | 'stock', Showing>> = { fixture: 'solid', barrier: 'see-through', machine: 'hidden', stock: 'see-through' }

export function showingOf(shown: Shown, body: BodyDescription | 'stock'): Showing {
  return body === 'stock' ? shown.bodies['stock'] ?? startsAs.stock : shown.bodies[bodyKey(body)] ?? startsAs[body.kind]
}

/** The selected finding in the next scene: the same rule on the same line with the same words, wherever it now stands. */
function sameFinding(state: ViewState, next: SceneDescription): number | undefined {
  const old = selectedFinding(state)
  if (old === undefined) return undefined
  const at = next.findings.findIndex(finding => finding.rule === old.rule && finding.line === old.line && finding.message === old.message)
  return at < 0 ? undefined : at
}

/** Moving within the lines of a finding keeps it selected. */
function findingStillMeant(state: ViewState, line: number): number | undefined {
  const finding = selectedFinding(state)
  return finding !== undefined && line >= finding.firstLine && line <= finding.lastLine ? state.finding : undefined
}

export function selectedFinding(state: ViewState): SceneFinding | undefined {
  return state.finding === undefined ? undefined : state.scene?.findings[state.finding]
}

/** What to say over the picture while there is nothing in it, or undefined. */
export function pictureMessage(state: ViewState): string | undefined {
  switch (state.phase.kind) {
    case 'connecting':
      return 'Asking the editor for the program…'
    case 'loading': {
      const { what, share } = state.phase
      return share === undefined ? `${what}…` : `${what}: ${Math.floor(share * 100)} %`
    }
    case 'failed':
      return state.phase.message
    case 'ready':
      if (state.drawingTrouble !== undefined) return state.drawingTrouble
      if (state.scene !== undefined && state.scene.part === undefined && state.scene.path.vertices < 2) {
        return ['There is nothing to draw yet: the program moves nothing.', ...state.scene.notes].join(' ')
      }
      return undefined
    default:
      return state.phase satisfies never
  }
}
