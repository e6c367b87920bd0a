import { afterEach, expect, test, vi } from 'vitest'
import { workHere } from '../../server/edge/work-here.ts'

// Work in the thread at hand, with a clock that goes on by more than half a slice at every look: each step is then a slice of its own.

afterEach(() => { vi.restoreAllMocks() })

function slowClock(): void {
  let now = 0
  vi.spyOn(performance, 'now').mockImplementation(() => now += 6)
}

test('others get their turn between the steps, questions are answered in order, and one that fails stops nothing', async () => {
  slowClock()
  const seen: string[] = []
  await new Promise<void>(resolve => {
    const thread = workHere<string>(function* (question) {
      seen.push(`${question} begins`)
      setImmediate(() => seen.push('another turn'))
      yield
      if (question === 'second') throw new Error('no room')
      seen.push(`${question} ends`)
      if (question === 'third') setImmediate(resolve)
    }, (question, message) => seen.push(`${question}: ${message.split('\n')[0] ?? ''}`))
    for (const question of ['first', 'second', 'third']) thread.ask(question)
  })
  expect(seen.filter(line => line !== 'another turn')).toEqual(['first begins', 'first ends', 'second begins', 'second: Error: no room', 'third begins', 'third ends'])
  for (const [i, line] of seen.entries()) if (line.endsWith('begins')) expect(seen.slice(i + 1, i + 3), line).toContain('another turn')
})

test('what was asked is not gone on with once ended', async () => {
  slowClock()
  let steps = 0
  const thread = workHere<number>(function* () {
    for (;;) {
      steps++
      if (steps === 3) void thread.end()
      yield
    }
  }, () => undefined)
  thread.ask(1)
  for (let turn = 0; turn < 20; turn++) await new Promise(resolve => setImmediate(resolve))
  expect(steps).toBe(3)
})
