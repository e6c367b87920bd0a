import { spawn, type ChildProcessWithoutNullStreams } from 'node:child_process'

/** What has come from the server; `id` and `method` tell answer, question and news apart. */
interface Incoming {
  readonly id?: number | string | null
  readonly method?: string
  readonly params?: unknown
}

// A client that sends whatever it is given, messages or not, in the frames of the base protocol (LSP 3.17, "Base Protocol").

export class RawClient {
  readonly process: ChildProcessWithoutNullStreams
  /** News and questions of the server, in the order of arrival. */
  readonly told: Incoming[] = []
  readonly errors: string[] = []
  readonly #open = new Map<number, string>()
  #nextId = 1
  #unread = Buffer.alloc(0)

  constructor(server: string) {
    this.process = spawn(process.execPath, [server, '--stdio'])
    this.process.stderr.on('data', (data: Buffer) => this.errors.push(data.toString()))
    this.process.stdin.on('error', error => this.errors.push(error.message))
    this.process.stdout.on('data', (data: Buffer) => this.#read(data))
  }

  get hasEnded(): boolean {
    return this.process.exitCode !== null || this.process.signalCode !== null
  }

  /** Methods of the questions that have no answer yet. */
  get unanswered(): string[] {
    return [...this.#open.values()]
  }

  body(text: string): void {
    this.process.stdin.write(`Content-Length: ${Buffer.byteLength(text)}\r\n\r\n${text}`)
  }

  ask(method: string, params: unknown): number {
    const id = this.#nextId++
    this.#open.set(id, method)
    this.body(JSON.stringify({ jsonrpc: '2.0', id, method, params }))
    return id
  }

  tell(method: string, params: unknown): void {
    this.body(JSON.stringify({ jsonrpc: '2.0', method, params }))
  }

  /** Waits until the claim holds; false where it does not in time, ms, or the server has ended. */
  async holds(claim: () => boolean, patience: number): Promise<boolean> {
    const end = Date.now() + patience
    while (!claim()) {
      if (this.hasEnded || Date.now() > end) return false
      await new Promise(resolve => setTimeout(resolve, 5))
    }
    return true
  }

  kill(): void {
    this.process.kill('SIGKILL')
  }

  #read(data: Buffer): void {
    this.#unread = Buffer.concat([this.#unread, data])
    for (;;) {
      const head = this.#unread.indexOf('\r\n\r\n')
      if (head < 0) return
      const length = Number(/Content-Length: (\d+)/i.exec(this.#unread.toString('latin1', 0, head))?.[1])
      if (Number.isNaN(length)) throw new Error(`The server sent a frame without a length: ${this.#unread.toString('latin1', 0, head)}`)
      if (this.#unread.length < head + 4 + length) return
      const message = JSON.parse(this.#unread.toString('utf8', head + 4, head + 4 + length)) as Incoming
      this.#unread = this.#unread.subarray(head + 4 + length)
      this.#hear(message)
    }
  }

  #hear(message: Incoming): void {
    if (message.method === undefined) {
      if (typeof message.id === 'number') this.#open.delete(message.id)
      return
    }
    this.told.push(message)
    if (message.id !== undefined) this.body(JSON.stringify({ jsonrpc: '2.0', id: message.id, result: null }))
  }
}
