import { afterEach, describe, expect, test } from 'vitest'
import { openChannel } from '../../shared/protocol/channel.ts'
import type { Channel, Port } from '../../shared/protocol/channel.ts'
import { hostChecks } from '../../shared/protocol/viewer-messages.ts'
import { SeededRandom } from '../harness/seeded-random.ts'

// Both ends of the channel over node's own message ports: messages are really copied.

interface Left {
  readonly requests: {
    readonly 'sum/ask': { readonly params: readonly number[], readonly result: number }
    readonly 'bytes/ask': { readonly params: undefined, readonly result: { readonly bytes: Uint8Array } }
    readonly 'fault/ask': { readonly params: { readonly late: boolean }, readonly result: number }
    readonly 'function/ask': { readonly params: undefined, readonly result: unknown }
    readonly 'never/ask': { readonly params: undefined, readonly result: number }
  }
  readonly events: { readonly 'word/heard': { readonly word: string } }
}
interface Right { readonly requests: Record<never, never>, readonly events: Record<never, never> }

const opened: MessageChannel[] = []
afterEach(() => {
  for (const ports of opened.splice(0)) {
    ports.port1.close()
    ports.port2.close()
  }
})

function portOf(port: MessagePort): Port {
  return { post: message => port.postMessage(message), listen: receive => { port.onmessage = event => receive(event.data) } }
}

function talk() {
  const ports = new MessageChannel()
  opened.push(ports)
  const heard: string[] = []
  const problems: string[] = []
  openChannel<Left, Right>(portOf(ports.port1), {
    'sum/ask': numbers => numbers.reduce((sum, number) => sum + number, 0),
    'bytes/ask': () => ({ bytes: Uint8Array.of(1, 2, 255) }),
    'fault/ask': ({ late }) => {
      if (late) return Promise.reject(new Error('The late one failed.'))
      throw new Error('The early one failed.')
    },
    'function/ask': () => () => 1,
    'never/ask': () => new Promise<number>(() => {}),
  }, {
    'word/heard': ({ word }) => {
      if (word === 'fault') throw new Error('This word is too much.')
      heard.push(word)
    },
  }, { report: problem => problems.push(problem) })
  const left: Channel<Left> = openChannel<Right, Left>(portOf(ports.port2), {}, {})
  return { left, raw: ports.port2, heard, problems }
}

describe('a question', () => {
  test('is answered', async () => {
    expect(await talk().left.ask('sum/ask', [1, 2, 3])).toBe(6)
  })

  test('answers carry typed arrays', async () => {
    expect((await talk().left.ask('bytes/ask', undefined)).bytes).toEqual(Uint8Array.of(1, 2, 255))
  })

  test('many at once find each its own answer', async () => {
    const { left } = talk()
    const sums = await Promise.all(Array.from({ length: 200 }, (_, i) => left.ask('sum/ask', [i, i])))
    expect(sums).toEqual(Array.from({ length: 200 }, (_, i) => 2 * i))
  })

  test.each([[true, 'The late one failed.'], [false, 'The early one failed.']])('fails with the sentence of a handler that throws (late: %s)', async (late, sentence) => {
    await expect(talk().left.ask('fault/ask', { late })).rejects.toThrow(sentence)
  })

  test('fails where the answer cannot be copied', async () => {
    await expect(talk().left.ask('function/ask', undefined)).rejects.toThrow(/could not be cloned/)
  })

  test('fails where the question itself cannot be copied', async () => {
    await expect(talk().left.ask('sum/ask', [(() => 1) as never])).rejects.toThrow(/could not be cloned/)
  })

  test.each(['word/heard', 'nobody/ask', 'toString', '__proto__'])('that the other side does not know fails: %s', async name => {
    await expect(talk().left.ask(name as never, undefined as never)).rejects.toThrow(`The question "${name}" is not known here.`)
  })

  test('fails when the channel is closed, before and after', async () => {
    const { left } = talk()
    const open = left.ask('never/ask', undefined)
    left.close('The viewer has been closed.')
    await expect(open).rejects.toThrow('The viewer has been closed.')
    await expect(left.ask('sum/ask', [1])).rejects.toThrow('The viewer has been closed.')
  })
})

describe('news', () => {
  test('are heard in order, and a handler that throws is reported', async () => {
    const { left, heard, problems } = talk()
    left.tell('word/heard', { word: 'one' })
    left.tell('word/heard', { word: 'fault' })
    left.tell('word/heard', { word: 'two' })
    left.tell('rumour/heard' as never, undefined as never)
    await left.ask('sum/ask', [])
    expect(heard).toEqual(['one', 'two'])
    expect(problems).toEqual(['The news "word/heard" could not be handled: This word is too much.', 'The news "rumour/heard" is not known here.'])
  })
})

describe('garbage', () => {
  const seed = 20_317
  test(`is reported and harms nothing (seed ${seed})`, async () => {
    const { left, raw, problems } = talk()
    const random = new SeededRandom(seed)
    const values: readonly unknown[] = [undefined, null, 0, NaN, '', 'ask', [], {}, new Uint8Array(3), true]
    const kinds: readonly unknown[] = ['answer', 'failure', 'ask ', 'TELL', ...values]
    const count = 300
    for (let i = 0; i < count; i++) {
      // No answer or failure with a whole id: those would be messages.
      raw.postMessage(random.next() < 0.3 ? random.pick(values)
        : { kind: random.pick(kinds), id: random.pick(['1', undefined, null, {}]), name: random.pick(values), params: random.pick(values) })
    }
    raw.postMessage({ kind: 'answer', id: 12345, result: 1 })
    expect(await left.ask('sum/ask', [20, 22])).toBe(42)
    expect(problems).toHaveLength(count + 1)
    expect(new Set(problems)).toEqual(new Set(['Something arrived that is not a message of this channel.', 'An answer arrived to question 12345, which is not open.']))
  })
})

describe('the door of the host', () => {
  test.each([
    ['session/open', { version: 1 }, true], ['session/open', { version: '1' }, false], ['session/open', undefined, false],
    ['scene/read', undefined, true], ['scene/read', {}, false],
    ['scene/buffer', { key: 'part', offset: 0 }, true], ['scene/buffer', { key: 'part', offset: -1 }, false],
    ['scene/buffer', { key: 'part', offset: 0, base: 'before' }, true], ['scene/buffer', { key: 'part', offset: 0, base: 7 }, false],
    ['scene/buffer', { key: 7, offset: 0 }, false], ['scene/buffer', { key: 'part', offset: 0.5 }, false],
    ['pose/read', { line: 12 }, true], ['pose/read', { line: NaN }, false], ['pose/read', { line: Infinity }, false], ['pose/read', null, false],
    ['stock/read', { line: 3 }, true], ['stock/read', {}, false],
    ['other/choose', undefined, true], ['other/choose', { path: '/etc/passwd' }, false], ['other/read', undefined, true], ['other/read', 'x', false],
    ['picture/keep', { png: Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0) }, true], ['picture/keep', { png: Uint8Array.of(0x4d, 0x5a) }, false],
    ['picture/keep', { png: [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a] }, false], ['picture/keep', { png: new Uint8Array(0), path: '../x' }, false],
    ['line/chosen', { line: 0 }, true], ['line/chosen', { line: '0' }, false], ['line/chosen', 3, false],
    ['rule/chosen', { rule: 'missing-feed' }, true], ['rule/chosen', { rule: '../secret' }, false], ['rule/chosen', { rule: '' }, false],
  ] as const)('%s with %j: %s', (name, params, passes) => {
    expect(hostChecks[name](params)).toBe(passes)
  })

  test.each([1, 2, 3])('lets nothing of the wrong form through and never stumbles, seed %d', seed => {
    const random = new SeededRandom(seed)
    const values: readonly unknown[] = [undefined, null, NaN, -1, 0, 7, 1.5, 2 ** 60, '', 'a', 'missing-feed', [], {}, new Uint8Array(3), new Date(0), () => 1, Symbol('x'), 12n, new Proxy({}, {})]
    const keys = ['version', 'key', 'offset', 'line', 'rule', 'png', '__proto__', 'constructor']
    for (let i = 0; i < 4000; i++) {
      const params = random.next() < 0.3 ? random.pick(values) : Object.fromEntries(keys.filter(() => random.next() < 0.4).map(key => [key, random.pick(values)]))
      for (const [name, check] of Object.entries(hostChecks)) {
        const passes = check(params)
        expect(typeof passes).toBe('boolean')
        if (!passes || params === undefined) continue
        const given = params as Record<string, unknown>
        const isLine = (value: unknown) => Number.isSafeInteger(value) && (value as number) >= 0
        const holds = {
          'session/open': typeof given.version === 'number', 'scene/buffer': typeof given.key === 'string' && isLine(given.offset),
          'pose/read': isLine(given.line), 'stock/read': isLine(given.line), 'line/chosen': isLine(given.line), 'rule/chosen': given.rule === 'missing-feed' || given.rule === 'a',
        }[name]
        expect(holds, `${name} let ${Object.keys(given).join(' ')} through`).toBe(true)
      }
    }
  })

  test('a question that does not pass is answered with a failure and reaches no handler', async () => {
    const ports = new MessageChannel()
    opened.push(ports)
    const reached: unknown[] = []
    const problems: string[] = []
    interface Door { readonly requests: { readonly 'pose/read': { readonly params: { readonly line: number }, readonly result: number } }, readonly events: { readonly 'line/chosen': { readonly line: number } } }
    openChannel<Door, Right>(portOf(ports.port1),
      { 'pose/read': params => reached.push(params) }, { 'line/chosen': params => { reached.push(params) } },
      { checks: hostChecks, report: problem => problems.push(problem) })
    const page = openChannel<Right, Door>(portOf(ports.port2), {}, {})
    page.tell('line/chosen', { line: -4 })
    await expect(page.ask('pose/read', { line: 'x' as never })).rejects.toThrow('The question "pose/read" came with contents it does not take.')
    expect(reached).toEqual([])
    expect(problems).toEqual(['The news "line/chosen" came with contents it does not take.'])
  })
})
