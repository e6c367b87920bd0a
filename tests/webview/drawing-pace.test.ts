import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { DrawingPace } from '../../webview/scene/drawing-pace.ts'

// A card whose pictures take as long as it is told, and a clock that is set by hand.

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout', 'performance'] })
})
afterEach(() => {
  vi.useRealTimers()
})

/** `picture`: how long the card takes for one, ms. */
function cardOf(picture: number): WebGL2RenderingContext & { readonly fences: number } {
  let ready = 0, fences = 0
  const card = {
    SYNC_GPU_COMMANDS_COMPLETE: 1, SYNC_STATUS: 2, SIGNALED: 3,
    fenceSync: () => {
      ready = performance.now() + picture
      fences++
      return {}
    },
    flush: () => {},
    getSyncParameter: () => performance.now() >= ready ? 3 : 4,
    deleteSync: () => {
      fences--
    },
    get fences() { return fences },
  }
  return card as unknown as ReturnType<typeof cardOf>
}

test('pictures are quick until the card has shown that it is prompt', () => {
  const pace = new DrawingPace(() => {})
  expect(pace.isQuick).toBe(true)
  pace.drewFull(cardOf(10), performance.now())
  expect(pace.isQuick).toBe(true)
  vi.advanceTimersByTime(30)
  expect(pace.isQuick).toBe(false)
})

test('a slow card stays with quick pictures, and what it was asked is put away', () => {
  const pace = new DrawingPace(() => {}), card = cardOf(2000)
  pace.drewFull(card, performance.now())
  vi.advanceTimersByTime(1900)
  expect(card.fences).toBe(1)
  vi.advanceTimersByTime(200)
  expect([pace.isQuick, card.fences]).toEqual([true, 0])
})

test('one picture is timed at a time: those asked for meanwhile do not add to it', () => {
  const pace = new DrawingPace(() => {}), card = cardOf(2000)
  pace.drewFull(card, performance.now())
  vi.advanceTimersByTime(50)
  pace.drewFull(card, performance.now())
  expect(card.fences).toBe(1)
})

test('the full picture is due once, when quick ones have rested', () => {
  const rested = vi.fn()
  const pace = new DrawingPace(rested)
  for (let i = 0; i < 5; i++) {
    pace.drewQuick()
    vi.advanceTimersByTime(100)
  }
  expect(rested).not.toHaveBeenCalled()
  vi.advanceTimersByTime(1000)
  expect(rested).toHaveBeenCalledOnce()
})

test('another scene has to be timed anew, and a picture of the one before does not count for it', () => {
  const pace = new DrawingPace(() => {})
  pace.drewFull(cardOf(10), performance.now())
  vi.advanceTimersByTime(30)
  pace.drewFull(cardOf(10), performance.now())
  pace.forget()
  vi.advanceTimersByTime(1000)
  expect(pace.isQuick).toBe(true)
})
