import { openChannel, type Port } from '../../shared/protocol/channel.ts'
import { hostChecks, type HostSide, type ViewerSide } from '../../shared/protocol/viewer-messages.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { junk } from './junk.ts'

// Both ends of the channel between page and host, each sent what the other would never send. Nothing that the host's checks turn
// away may reach a handler, every question gets one answer, and an honest question in the midst of it the right one.

const names = [...Object.keys(hostChecks), 'scene/changed', 'line/moved', 'status/changed', 'no/such', '__proto__', 'toString', '']
/** Messages of a talk in each direction. */
const count = 300

/** Throws, with the seed in the message, where one end breaks the rules. */
export async function tryPageMessages(seed: number): Promise<void> {
  const random = new SeededRandom(seed)
  try {
    await talk(random)
  } catch (error) {
    throw new Error(`Seed ${seed}: ${error instanceof Error ? error.message : String(error)}`, { cause: error })
  }
}

async function talk(random: SeededRandom): Promise<void> {
  const answered = new Map<number, number>(), wrong: string[] = []
  let toHost: (message: unknown) => void = () => {}, toPage: (message: unknown) => void = () => {}
  const hostEnd: Port = {
    post: message => {
      const { id } = message as { readonly id?: number }
      if (id !== undefined) answered.set(id, (answered.get(id) ?? 0) + 1)
      toPage(structuredClone(message))
    },
    listen: receive => {
      toHost = receive
    },
  }
  const pageEnd: Port = {
    post: message => toHost(structuredClone(message)),
    listen: receive => {
      toPage = receive
    },
  }
  const seen = (name: keyof typeof hostChecks, params: unknown) => {
    if (!hostChecks[name](params)) wrong.push(`${name} was handed ${JSON.stringify(params)}`)
  }
  const gone = (name: keyof typeof hostChecks) => (params: unknown): never => {
    seen(name, params)
    throw new Error('not here')
  }
  openChannel<HostSide, ViewerSide>(hostEnd, {
    'session/open': params => {
      seen('session/open', params)
      return { program: 'plate.nc', line: params.version }
    },
    'scene/read': gone('scene/read'), 'scene/buffer': gone('scene/buffer'), 'pose/read': gone('pose/read'), 'stock/read': gone('stock/read'), 'result/read': gone('result/read'),
    'other/choose': gone('other/choose'), 'other/read': gone('other/read'), 'picture/keep': gone('picture/keep'),
  }, { 'line/chosen': params => seen('line/chosen', params), 'rule/chosen': params => seen('rule/chosen', params) }, { checks: hostChecks })
  const page = openChannel<ViewerSide, HostSide>(pageEnd, {}, { 'scene/changed': () => {}, 'line/moved': () => {}, 'status/changed': () => {}, 'other/changed': () => {} })

  const asked: number[] = []
  for (let n = 0; n < count; n++) {
    const id = 1_000_000 + n, name = random.pick(names)
    const kind = random.whole(0, 3)
    if (kind === 0) toHost(message(random, name))
    else if (kind === 1) toPage(message(random, name))
    else {
      asked.push(id)
      toHost({ kind: 'ask', id, name, params: fitting(random) })
    }
    if (n % 50 === 0) {
      const { line } = await page.ask('session/open', { version: n })
      if (line !== n) wrong.push(`the honest question ${n} was answered with ${line}`)
    }
  }
  await new Promise(resolve => setTimeout(resolve, 0))
  for (const id of asked) if (answered.get(id) !== 1) wrong.push(`question ${id} has ${answered.get(id) ?? 0} answers`)
  if (wrong.length > 0) throw new Error(wrong.join('\n'))
}

/** No message, or one with a part amiss. Numbers of questions that are open are left alone: whoever knows one may answer it. */
function message(random: SeededRandom, name: string): unknown {
  if (random.next() < 0.3) return junk(random)
  return { kind: random.pick(['tell', 'answer', 'failure', 'ask', 'no-kind']), id: random.pick([-1, 0, 0.5, NaN, 'x', 2_000_000 + random.whole(0, 9)]), name, params: fitting(random), result: junk(random), message: junk(random) }
}

/** Contents of which each question finds some, all or none of what it takes. */
function fitting(random: SeededRandom): unknown {
  if (random.next() < 0.5) return junk(random)
  return {
    version: random.pick([2, 2, 'x', NaN]), key: random.pick(['positions', 1, null]), offset: random.pick([0, -1, 1.5, Infinity]), line: random.pick([0, 5, -1, NaN, '3']),
    rule: random.pick(['gouge', '../x', '<b>', 5]), png: random.pick([Uint8Array.of(0x89, 0x50), Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a), 'x']),
  }
}
