import type { PoseAnswer, SceneDescription, SceneFinding, Status } from '../shared/protocol/server-messages.ts'
import type { Session } from '../shared/protocol/viewer-messages.ts'

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
  readonly rapids: boolean
  readonly findings: boolean
}

export interface ViewState {
  readonly phase: Phase
  readonly program: string
  readonly scene: SceneDescription | undefined
  /** The editor's line; `pose` may still be that of an earlier one. */
  readonly line: number
  readonly pose: PoseAnswer | undefined
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
  | { readonly kind: 'loaded', readonly scene: SceneDescription }
  | { readonly kind: 'failed', readonly message: string }
  | { readonly kind: 'line', readonly line: number }
  | { readonly kind: 'pose', readonly pose: PoseAnswer }
  | { readonly kind: 'pose-failed', readonly line: number, readonly message: string }
  | { readonly kind: 'status', readonly status: Status }
  | { readonly kind: 'finding', readonly finding: number }
  | { readonly kind: 'show', readonly shown: Partial<Shown> }
  | { readonly kind: 'drawing', readonly trouble: string | undefined }

export const firstState: ViewState = {
  phase: { kind: 'connecting' },
  program: '',
  scene: undefined,
  line: 0,
  pose: undefined,
  status: undefined,
  finding: undefined,
  shown: { part: 'solid', tool: 'solid', rapids: true, findings: true },
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
        finding: sameFinding(state, change.scene),
        readingTrouble: undefined,
      }
    case 'failed':
      return state.scene !== undefined
        ? { ...state, readingTrouble: change.message }
        : { ...state, phase: { kind: 'failed', message: change.message } }
    case 'line':
      return change.line === state.line ? state : { ...state, line: change.line, finding: findingStillMeant(state, change.line) }
    case 'pose':
      // The answer to an earlier line comes too late: the next one is on its way.
      return change.pose.line === state.line ? { ...state, pose: change.pose, readingTrouble: undefined } : state
    case 'pose-failed':
      return change.line === state.line ? { ...state, pose: undefined, readingTrouble: change.message } : state
    case 'status':
      return { ...state, status: change.status }
    case 'finding': {
      const finding = state.scene?.findings[change.finding]
      return finding === undefined ? state : { ...state, finding: change.finding, line: finding.line }
    }
    case 'show':
      return { ...state, shown: { ...state.shown, ...change.shown } }
    case 'drawing':
      return { ...state, drawingTrouble: change.trouble }
    default:
      return change satisfies never
  }
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
