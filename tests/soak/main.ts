import { execFileSync } from 'node:child_process'
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { pathToFileURL } from 'node:url'
import { LanguageServerUnderTest } from '../harness/language-server.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { compareWithFresh, lastVersions, type SoakedProgram } from './compare.ts'
import { hasGrown } from './growth.ts'

// A long session of edits with the server as it is shipped: two programs, each edited, asked about and put right again. Its
// memory must not grow, and at the end its findings must be those of a server that sees the programs for the first time.

const { values } = parseArgs({ options: { seconds: { type: 'string', default: '1200' }, seed: { type: 'string' }, root: { type: 'string', default: '.' }, server: { type: 'string', default: '' } } })
const seed = values.seed === undefined ? Date.now() % 1_000_000_000 : Number(values.seed)
const seconds = Number(values.seconds)
const random = new SeededRandom(seed)
const folder = mkdtempSync(join(tmpdir(), 'toolwake-soak-'))
cpSync(join(values.root, 'samples'), folder, { recursive: true })

const programs: readonly SoakedProgram[] = ['plate/plate.nc', 'duct/throat-edited.nc'].map(name => {
  const text = readFileSync(join(folder, name), 'utf8')
  return { uri: pathToFileURL(join(folder, name)).href, original: text, text, version: 1 }
})

/** Resident memory of the server after each round, bytes. */
const memory: number[] = []
let edits = 0

// What one server keeps on the disk must not help the other.
process.env['XDG_CACHE_HOME'] = join(folder, 'kept-by-first')
const server = new LanguageServerUnderTest(values.server)
try {
  console.log(`seed ${seed}, ${seconds} s`)
  await server.initialize({ folder: pathToFileURL(folder).href })
  for (const one of programs) await server.open(one.uri, one.text)
  const end = Date.now() + 1000 * seconds
  let told = Date.now()
  while (Date.now() < end) {
    await round()
    memory.push(residentBytes(server.process.pid ?? 0))
    if (Date.now() > told + 15_000) {
      told = Date.now()
      console.log(`${edits} edits, ${Math.round((memory.at(-1) ?? 0) / 2 ** 20)} MB, ${Math.round((end - told) / 1000)} s left`)
    }
  }
  // The end is a text with edits in it, so that the two servers do not agree on the original alone.
  for (const one of programs) await edit(one)
  process.env['XDG_CACHE_HOME'] = join(folder, 'kept-by-fresh')
  const differences = await compareWithFresh(server, values.server, pathToFileURL(folder).href, programs)
  for (const difference of differences) console.error(difference)
  const growth = hasGrown(memory)
  console.log(`${edits} edits in ${memory.length} rounds; ${growth.sentence}; ${differences.length} programs with other findings than of a fresh server`)
  if (growth.grown || differences.length > 0) process.exitCode = 1
} finally {
  server.kill()
  rmSync(folder, { recursive: true, force: true })
}

/** A flurry of edits and questions, then the original text again and its findings. */
async function round(): Promise<void> {
  const one = random.pick(programs)
  for (let n = random.whole(3, 12); n > 0; n--) {
    await edit(one)
    const position = { line: random.whole(0, 60), character: random.whole(0, 12) }
    await server.connection.sendRequest(random.pick(['textDocument/hover', 'textDocument/completion']), { textDocument: { uri: one.uri }, position })
    if (random.next() < 0.3) await new Promise(resolve => setTimeout(resolve, random.whole(0, 300)))
  }
  one.text = one.original
  await server.replace(one.uri, one.text, ++one.version)
  await server.findings(one.uri, one.version, () => true, 120_000)
  // What the client has written down is not looked at again.
  lastVersions(server.published)
  server.statuses.length = 0
  server.log.length = 0
}

/** Changes one digit of the program, or puts a block twice. */
async function edit(one: SoakedProgram): Promise<void> {
  const lines = one.text.split('\n'), line = random.whole(1, lines.length - 2), digit = lines[line].search(/\d(?=\D*$)/)
  edits++
  if (digit < 0 || random.next() < 0.2) {
    await server.edit(one.uri, ++one.version, line, 0, 0, `${lines[line]}\n`)
    lines.splice(line, 0, lines[line])
  } else {
    const written = String(random.whole(0, 9))
    await server.edit(one.uri, ++one.version, line, digit, digit + 1, written)
    lines[line] = lines[line].slice(0, digit) + written + lines[line].slice(digit + 1)
  }
  one.text = lines.join('\n')
}

function residentBytes(pid: number): number {
  return 1024 * Number(execFileSync('ps', ['-o', 'rss=', '-p', String(pid)], { encoding: 'utf8' }))
}
