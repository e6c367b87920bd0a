// Typed questions and news over any port. The same channel serves webview, worker and test: a port
// is two functions. Every question is answered, also when the handler throws, is missing, or the
// question makes no sense; so nobody waits for ever.

/** What one side may be asked and told, by name. The answer's type follows from the question. */
export interface Side {
  readonly requests: Readonly<Record<string, { readonly params: unknown, readonly result: unknown }>>
  readonly events: Readonly<Record<string, unknown>>
}

export interface Port {
  /** May throw when the message cannot be copied. */
  readonly post: (message: unknown) => void
  readonly listen: (receive: (message: unknown) => void) => void
}

/** One handler for every question the side takes; a missing or misspelt one does not compile. */
export type RequestHandlers<S extends Side> = {
  readonly [Name in keyof S['requests']]:
    (params: S['requests'][Name]['params']) => S['requests'][Name]['result'] | Promise<S['requests'][Name]['result']>
}

export type EventHandlers<S extends Side> = {
  readonly [Name in keyof S['events']]: (params: S['events'][Name]) => void
}

/** Looks at what has arrived before a handler sees it. Needed where the other side is less trusted. */
export type Checks<S extends Side> = {
  readonly [Name in keyof S['requests'] | keyof S['events']]: (params: unknown) => boolean
}

export interface ChannelOptions<Ours extends Side> {
  readonly checks?: Checks<Ours>
  /** Told in a sentence of messages that could not be handled and that nobody waits for. */
  readonly report?: (problem: string) => void
}

export interface Channel<Theirs extends Side> {
  /** Rejects with the other side's sentence when it could not answer. */
  readonly ask: <Name extends keyof Theirs['requests'] & string>(
    name: Name, params: Theirs['requests'][Name]['params']) => Promise<Theirs['requests'][Name]['result']>
  readonly tell: <Name extends keyof Theirs['events'] & string>(name: Name, params: Theirs['events'][Name]) => void
  /** Ends the talk: open questions fail with the reason, later ones at once, and nothing more is handled. */
  readonly close: (reason: string) => void
}

/** What travels. Plain data; params and results may hold typed arrays where the port copies them. */
type Message =
  | { readonly kind: 'ask', readonly id: number, readonly name: string, readonly params: unknown }
  | { readonly kind: 'answer', readonly id: number, readonly result: unknown }
  | { readonly kind: 'failure', readonly id: number, readonly message: string }
  | { readonly kind: 'tell', readonly name: string, readonly params: unknown }

interface Waiting {
  readonly resolve: (result: unknown) => void
  readonly reject: (error: Error) => void
}

/**
 * Opens our end. `requests` and `events` are what we answer and hear.
 * The port's listener is taken at once, so nothing that is posted later is missed.
 */
export function openChannel<Ours extends Side, Theirs extends Side>(
  port: Port, requests: RequestHandlers<Ours>, events: EventHandlers<Ours>, options: ChannelOptions<Ours> = {},
): Channel<Theirs> {
  const waiting = new Map<number, Waiting>()
  const report = options.report ?? (() => {})
  let nextId = 1
  let closed: string | undefined

  function accepts(name: string, params: unknown): boolean {
    const checks = options.checks
    return checks === undefined || (Object.hasOwn(checks, name) && checks[name](params))
  }

  async function answer(id: number, name: string, params: unknown): Promise<void> {
    const reply = (message: Message) => {
      if (closed === undefined) port.post(message)
    }
    try {
      if (!Object.hasOwn(requests, name)) throw new Error(`The question "${name}" is not known here.`)
      if (!accepts(name, params)) throw new Error(`The question "${name}" came with contents it does not take.`)
      reply({ kind: 'answer', id, result: await requests[name](params) })
    } catch (error) {
      // A result that cannot be copied lands here too: the failure itself is plain text.
      reply({ kind: 'failure', id, message: sentenceOf(error) })
    }
  }

  function hear(name: string, params: unknown): void {
    if (!Object.hasOwn(events, name)) report(`The news "${name}" is not known here.`)
    else if (!accepts(name, params)) report(`The news "${name}" came with contents it does not take.`)
    else {
      try {
        events[name](params as Ours['events'][string])
      } catch (error) {
        report(`The news "${name}" could not be handled: ${sentenceOf(error)}`)
      }
    }
  }

  function settle(id: number, act: (one: Waiting) => void): void {
    const one = waiting.get(id)
    if (one === undefined) {
      report(`An answer arrived to question ${id}, which is not open.`)
      return
    }
    waiting.delete(id)
    act(one)
  }

  port.listen(raw => {
    if (closed !== undefined) return
    const message = readMessage(raw)
    if (message === undefined) {
      report('Something arrived that is not a message of this channel.')
      return
    }
    switch (message.kind) {
      case 'ask':
        void answer(message.id, message.name, message.params)
        return
      case 'tell':
        hear(message.name, message.params)
        return
      case 'answer':
        settle(message.id, one => one.resolve(message.result))
        return
      case 'failure':
        settle(message.id, one => one.reject(new Error(message.message)))
        return
      default:
        message satisfies never
    }
  })

  return {
    ask: (name, params) => new Promise((resolve, reject) => {
      if (closed !== undefined) {
        reject(new Error(closed))
        return
      }
      const id = nextId++
      waiting.set(id, { resolve: resolve as (result: unknown) => void, reject })
      try {
        port.post({ kind: 'ask', id, name, params } satisfies Message)
      } catch (error) {
        waiting.delete(id)
        reject(new Error(sentenceOf(error)))
      }
    }),
    tell: (name, params) => {
      if (closed === undefined) port.post({ kind: 'tell', name, params } satisfies Message)
    },
    close: reason => {
      closed = reason
      for (const one of waiting.values()) one.reject(new Error(reason))
      waiting.clear()
    },
  }
}

export function sentenceOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}

/** A message with the fields of its kind, or undefined: what arrives may be anything. */
function readMessage(raw: unknown): Message | undefined {
  if (typeof raw !== 'object' || raw === null) return undefined
  const { kind, id, name, params, result, message } = raw as Record<string, unknown>
  if (kind === 'ask' && typeof id === 'number' && typeof name === 'string') return { kind, id, name, params }
  if (kind === 'tell' && typeof name === 'string') return { kind, name, params }
  if (kind === 'answer' && typeof id === 'number') return { kind, id, result }
  if (kind === 'failure' && typeof id === 'number' && typeof message === 'string') return { kind, id, message }
  return undefined
}
