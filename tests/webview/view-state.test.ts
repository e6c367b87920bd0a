import { describe, expect, test } from 'vitest'
import type { SceneDescription, SceneFinding } from '../../shared/protocol/scene-messages.ts'
import type { PoseAnswer } from '../../shared/protocol/server-messages.ts'
import { firstState, pictureMessage, update } from '../../webview/view-state.ts'
import type { Change, ViewState } from '../../webview/view-state.ts'

const finding = (rule: string, line: number, lastLine = line): SceneFinding =>
  ({ rule, level: 'error', message: `${rule} there`, firstLine: line, lastLine, line })

const scene = (findings: readonly SceneFinding[] = [], vertices = 5, notes: readonly string[] = []): SceneDescription => ({
  uri: 'file:///a.nc', version: 1, unit: 1, tools: [], bodies: [], findings, notes,
  path: { vertices, positions: 'p', lines: 'l', flags: 'f', motions: 'm' },
})

const pose = (line: number): PoseAnswer => ({ line, text: `N${line}` })

const after = (...changes: readonly Change[]): ViewState => changes.reduce(update, firstState)

describe('from opening to ready', () => {
  test('the session gives program, line and status', () => {
    const state = after({ kind: 'opened', session: { program: 'a.nc', line: 7 } })
    expect(state).toMatchObject({ program: 'a.nc', line: 7, phase: { kind: 'connecting' } })
  })

  test('a wrong version fails in the words of the host', () => {
    expect(pictureMessage(after({ kind: 'failed', message: 'The page speaks version 1.' }))).toBe('The page speaks version 1.')
  })

  test('reading says how far it is, whole per cent, never 100 before the end', () => {
    expect(pictureMessage(firstState)).toBe('Asking the editor for the program…')
    expect(pictureMessage(after({ kind: 'loading', what: 'Reading the program' }))).toBe('Reading the program…')
    expect(pictureMessage(after({ kind: 'loading', what: 'Reading inlet.stl', share: 0.999 }))).toBe('Reading inlet.stl: 99 %')
  })

  test('a scene with something in it has no message over it', () => {
    expect(pictureMessage(after({ kind: 'loaded', scene: scene() }))).toBeUndefined()
  })

  test('an empty scene says so, with the reasons', () => {
    expect(pictureMessage(after({ kind: 'loaded', scene: scene([], 0, ['There is no setup sheet.']) })))
      .toBe('There is nothing to draw yet: the program moves nothing. There is no setup sheet.')
  })

  test('a scene that shows stays while the next one is read or cannot be', () => {
    const ready = after({ kind: 'loaded', scene: scene() })
    expect(update(ready, { kind: 'loading', what: 'Reading the program' })).toBe(ready)
    const failed = update(ready, { kind: 'failed', message: 'The server has gone.' })
    expect(failed).toMatchObject({ phase: { kind: 'ready' }, scene: ready.scene, readingTrouble: 'The server has gone.' })
    expect(update(failed, { kind: 'loaded', scene: scene() }).readingTrouble).toBeUndefined()
  })

  test('a lost graphics card is said over the picture and taken back', () => {
    const lost = after({ kind: 'loaded', scene: scene() }, { kind: 'drawing', trouble: 'Gone.' })
    expect(pictureMessage(lost)).toBe('Gone.')
    expect(pictureMessage(update(lost, { kind: 'drawing', trouble: undefined }))).toBeUndefined()
  })
})

describe('line and pose', () => {
  test('a pose of an earlier line is never shown', () => {
    const state = after({ kind: 'line', line: 4 }, { kind: 'line', line: 5 }, { kind: 'pose', pose: pose(4) })
    expect(state.pose).toBeUndefined()
    expect(update(state, { kind: 'pose', pose: pose(5) }).pose).toEqual(pose(5))
  })

  test('the same line again changes nothing', () => {
    const state = after({ kind: 'line', line: 4 })
    expect(update(state, { kind: 'line', line: 4 })).toBe(state)
  })

  test('a pose that cannot be read takes the old one away and says why; for an earlier line it is nothing', () => {
    const state = after({ kind: 'line', line: 4 }, { kind: 'pose', pose: pose(4) })
    expect(update(state, { kind: 'pose-failed', line: 3, message: 'No.' })).toBe(state)
    expect(update(state, { kind: 'pose-failed', line: 4, message: 'No.' })).toMatchObject({ pose: undefined, readingTrouble: 'No.' })
  })
})

describe('the selected finding', () => {
  const two = scene([finding('missing-feed', 3), finding('gouge', 10, 20)])
  const selected = after({ kind: 'loaded', scene: two }, { kind: 'finding', finding: 1 })

  test('brings its line', () => {
    expect(selected).toMatchObject({ finding: 1, line: 10 })
  })

  test('one that is not there is not selected', () => {
    expect(update(selected, { kind: 'finding', finding: 9 })).toBe(selected)
  })

  test('stays while the cursor is within its lines', () => {
    expect(update(selected, { kind: 'line', line: 20 }).finding).toBe(1)
    expect(update(selected, { kind: 'line', line: 21 }).finding).toBeUndefined()
    expect(update(selected, { kind: 'line', line: 9 }).finding).toBeUndefined()
  })

  test('is found again in the next scene wherever it stands, and dropped when it is mended', () => {
    expect(update(selected, { kind: 'loaded', scene: scene([finding('gouge', 10, 20)]) }).finding).toBe(0)
    expect(update(selected, { kind: 'loaded', scene: scene([finding('missing-feed', 3)]) }).finding).toBeUndefined()
  })
})

test('what is shown changes one thing at a time', () => {
  const state = after({ kind: 'show', shown: { part: 'see-through' } }, { kind: 'show', shown: { rapids: false } })
  expect(state.shown).toEqual({ ...firstState.shown, part: 'see-through', tool: 'solid', rapids: false, findings: true })
})
