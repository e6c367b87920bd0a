import { Worker } from 'node:worker_threads'
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { lostFindings } from '../../server/edge/lost-findings.ts'
import type { FromWorker, ToWorker } from '../../server/edge/contact-protocol.ts'
import { startThread, type Answerer, type ThreadEvents } from '../../server/edge/start-thread.ts'
import type { ContactFigures } from '../../server/engine/service.ts'
import { BorePool } from './bore-pool.ts'

// Threads are killed while they search: what they had in hand must not be missing, and must be said.

const bore = new BorePool(3000)
let fresh: ContactFigures

beforeAll(async () => {
  await bore.bundle()
  fresh = await bore.pool(1).search(bore.program, bore.search)
})
afterAll(() => bore.remove())
beforeEach(() => { bore.said.length = 0 })

const figuresOf = ({ value, certified, time, point }: ContactFigures) => ({ value, certified, time, point })

/** Starts threads that die by the system's hand as soon as they have told their first run, `deaths` of them. */
function dying(deaths: number) {
  let left = deaths
  return (script: string, events: ThreadEvents<FromWorker>): Answerer<ToWorker> => {
    if (left === 0) return startThread(script, events)
    left--
    const worker = new Worker(script)
    worker.on('message', message => {
      events.hear(message)
      if (message.say === 'run') void worker.terminate()
    })
    worker.on('error', events.lost)
    worker.on('exit', code => events.lost(new Error(`a thread ended with code ${code}`)))
    return { ask: message => worker.postMessage(message), end: () => worker.terminate() }
  }
}

describe('a search whose threads are killed', () => {
  test.each([[1, 1], [2, 1], [2, 2], [3, 2]])('%i threads, %i of which die: the figures of a quiet one, and the log says so', async (threads, deaths) => {
    const figures = await bore.pool(threads, { start: dying(deaths) }).search(bore.program, bore.search)
    expect(figuresOf(figures)).toEqual(figuresOf(fresh))
    expect(figures.lost).toEqual([])
    expect(bore.said.length).toBeGreaterThan(0)
    expect(bore.said.every(sentence => /^A search thread has died \(.+\); (?:what it had in hand is searched again|the others have done its work)\.$/.test(sentence))).toBe(true)
  })

  test('again and again: what is lost is named, and nothing else is missing', async () => {
    const figures = await bore.pool(1, { start: dying(99) }).search(bore.program, bore.search)
    // Three rounds of one run of 256 motions each.
    expect(figures.lost.reduce((sum, run) => sum + run.count, 0)).toBe(fresh.count - 3 * 256)
    expect(figures.value.subarray(0, 4 * 768)).toEqual(fresh.value.slice(0, 4 * 768))
    expect(figures.value.subarray(4 * 768).every(value => value === Infinity)).toBe(true)
    expect(bore.said.at(-1)).toMatch(/was given up/)
    const [finding] = lostFindings(bore.program, figures.lost)
    expect(finding.rule).toBe('not-checked')
    expect(finding.message).toMatch(/^Contact in lines \d+ to \d+ was not searched: every thread that tried has died\./)
  })

  test('at the search for a far component: it is searched again', async () => {
    const expected = await bore.pool(1).searchFarthest(bore.program, 0, 3, bore.search)
    let first = true
    const start = (script: string, events: ThreadEvents<FromWorker>): Answerer<ToWorker> => {
      const worker = new Worker(script), dies = first
      first = false
      worker.on('message', events.hear)
      worker.on('exit', code => events.lost(new Error(`a thread ended with code ${code}`)))
      return { ask: message => dies ? void worker.terminate() : worker.postMessage(message), end: () => worker.terminate() }
    }
    expect(await bore.pool(1, { start }).searchFarthest(bore.program, 0, 3, bore.search)).toEqual(expected)
  })
})

describe('a search thread that runs out of memory', () => {
  /** The thread as it is, which after its first run takes memory until it has none left: 16 MB of its own, as V8 counts it. */
  function starving(deaths: number) {
    let left = deaths
    const greedy = `const { parentPort } = require('node:worker_threads'), post = parentPort.postMessage.bind(parentPort)
parentPort.postMessage = (message, transfer) => {
  post(message, transfer)
  if (message.say === 'run') for (const kept = [];;) kept.push(new Array(1000).fill({}))
}
require(${JSON.stringify(bore.script)})`
    return (script: string, events: ThreadEvents<FromWorker>): Answerer<ToWorker> => {
      if (left-- <= 0) return startThread(script, events)
      const worker = new Worker(greedy, { eval: true, resourceLimits: { maxOldGenerationSizeMb: 16 } })
      worker.on('message', events.hear)
      worker.on('error', events.lost)
      worker.on('exit', code => events.lost(new Error(`a thread ended with code ${code}`)))
      return { ask: message => worker.postMessage(message), end: () => worker.terminate() }
    }
  }

  test('once: the figures of a quiet one, and the log says of what it died', async () => {
    const figures = await bore.pool(2, { start: starving(1) }).search(bore.program, bore.search)
    expect(figuresOf(figures)).toEqual(figuresOf(fresh))
    expect(figures.lost).toEqual([])
    expect(bore.said.join('\n')).toMatch(/^A search thread has died \(Worker terminated due to reaching memory limit: JS heap out of memory\); /)
  })

  test('every time: what is lost is named', async () => {
    const figures = await bore.pool(1, { start: starving(99) }).search(bore.program, bore.search)
    expect(figures.lost.reduce((sum, run) => sum + run.count, 0)).toBeGreaterThan(0)
    expect(lostFindings(bore.program, figures.lost)[0].message).toMatch(/More memory, or fewer threads \(--threads\), may help\.$/)
    expect(bore.said.at(-1)).toMatch(/was given up/)
  })
})

describe('a search where no thread can be had', () => {
  const none = () => { throw new Error('no more threads') }

  test('runs beside everything else, comes to the same, and says so', async () => {
    let turns = 0, searching = true
    const count = () => {
      turns++
      if (searching) setImmediate(count)
    }
    setImmediate(count)
    const figures = await bore.pool(2, { start: none }).search(bore.program, bore.search)
    searching = false
    expect(figuresOf(figures)).toEqual(figuresOf(fresh))
    // Whatever else waited had its turn again and again; without that it would have had none.
    expect(turns).toBeGreaterThan(10)
    expect(bore.said[0]).toBe('No search thread could be started (no more threads); the search runs beside everything else and takes longer.')
  })

  test('is called off between two slices', async () => {
    const stop = new AbortController()
    let runs = 0
    const figures = await bore.pool(1, { start: none }).search(bore.program, { ...bore.search, signal: stop.signal }, () => {
      runs++
      stop.abort()
    })
    expect(runs).toBe(1)
    expect(figures.value.filter(value => value < Infinity).length).toBeLessThan(fresh.value.filter(value => value < Infinity).length / 2)
  })
})
