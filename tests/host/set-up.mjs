// Finishes what `npm ci --ignore-scripts` leaves out of the editor's server: the packages of its inner folder, and the two
// native modules it cannot start without. Its own install script is not used, as it wants more than the tests need.
import { spawnSync } from 'node:child_process'
import { existsSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const server = fileURLToPath(new URL('./node_modules/code-server/lib/vscode', import.meta.url))
/** Lies inside the folder it vouches for, so that a fresh install takes it away. */
const done = join(server, '.set-up-done')

if (!existsSync(done)) {
  if (Number(process.versions.node.split('.')[0]) !== 24) fail(`The editor's server needs Node 24, and this is ${process.version}.`)
  // Not `npm ci`: the lock that comes with the server leaves out a package of its own.
  npm('install', '--omit=dev', '--ignore-scripts')
  npm('rebuild', '@vscode/spdlog', '@vscode/native-watchdog', ...headers())
  writeFileSync(done, '')
}

function npm(...words) {
  const { status, stdout, stderr } = spawnSync('npm', [...words, '--no-audit', '--no-fund', '--loglevel=error'], {
    cwd: server,
    encoding: 'utf8',
    env: { ...process.env, PATH: `${dirname(process.execPath)}:${process.env['PATH']}` },
  })
  if (status !== 0) fail(`${stdout}${stderr}\n"npm ${words.join(' ')}" failed in the editor's server.`)
}

/** The headers that came with this Node, so that the compiler does not go looking for them on the network. */
function headers() {
  const root = dirname(dirname(process.execPath))
  return existsSync(join(root, 'include/node/node.h')) ? [`--nodedir=${root}`] : []
}

function fail(message) {
  console.error(message)
  process.exit(1)
}
