// `npm start`: on a fresh clone, installs and builds what is missing, then checks the hand-edited sample and
// says how to look at the same in the editor. Needs Node and npm only.
import { spawn } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { installPackages, packagesAreCurrent } from './set-up/packages.mjs'
import { run } from './set-up/run.mjs'
import { needSampleMeshes } from './set-up/sample-meshes.mjs'

const root = fileURLToPath(new URL('..', import.meta.url))
const sample = join('samples', 'duct', 'throat-edited.nc')
const command = join('dist', 'cli.cjs')

try {
  needRecentNode()
  await step(packagesAreCurrent(root) ? 'packages: those of package-lock.json are there' : 'packages: installing those of package-lock.json', () => installPackages(root))
  await step('build: bundling command line, language server and viewer into dist/', async () => {
    const { code, output } = await nodeRuns('esbuild.js')
    if (code !== 0) throw new Error(output.trim())
  })
  await step('sample: writing the meshes that are too large for the repository, if they are not there', () => needSampleMeshes(root, nodeRuns))
  await checkSample()
} catch (failure) {
  console.error(`npm start did not finish: ${failure.message}`)
  process.exit(1)
}

/** The findings are the point here: exit code 1 of the check is what it should be. */
async function checkSample() {
  console.log(`check: node ${command} check ${sample}\n`)
  const code = await new Promise((resolved, rejected) => {
    const child = spawn(process.execPath, [command, 'check', sample], { cwd: root, stdio: 'inherit' })
    process.once('exit', () => child.kill())
    child.once('error', rejected)
    child.once('exit', (status, signal) => resolved(status ?? `signal ${signal}`))
  })
  if (code === 130 || code === 'signal SIGINT') process.exit(130)
  if (code === 0) throw new Error(`${sample} has known faults, listed in samples/duct/README.md, and the check found none of them.`)
  if (code !== 1) throw new Error(`the check of ${sample} ended with ${code}.`)
  console.log([
    '',
    'The check ended with exit code 1, as it should: this program was edited by hand and has the faults',
    'that samples/duct/README.md lists. samples/duct/throat.nc is the program before the edits.',
    '',
    'The same in the editor, with findings while typing, hover and viewer:',
    `  code --extensionDevelopmentPath="${root.replace(/[/\\]$/, '')}" "${join(root, sample)}"`,
    'Any other editor that speaks the Language Server Protocol starts:',
    `  node "${join(root, command)}" serve --stdio`,
  ].join('\n'))
}

function needRecentNode() {
  const { engines } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'))
  const wanted = engines.node.replace(/^>=/, '')
  if (isOlder(process.versions.node, wanted)) throw new Error(`Node ${wanted} or newer is needed; this is ${process.versions.node}.`)
}

function isOlder(version, wanted) {
  const [have, need] = [version, wanted].map(text => text.split('.').map(Number))
  for (let i = 0; i < need.length; i++) {
    if (have[i] !== need[i]) return have[i] < need[i]
  }
  return false
}

function nodeRuns(...words) {
  return run(process.execPath, words, { cwd: root })
}

/** Says what is being done, does it, and says how long it took. */
async function step(words, work) {
  process.stdout.write(`${words} … `)
  const start = performance.now()
  try {
    await work()
  } catch (failure) {
    process.stdout.write('failed\n')
    throw failure
  }
  process.stdout.write(`${((performance.now() - start) / 1000).toFixed(1)} s\n`)
}
