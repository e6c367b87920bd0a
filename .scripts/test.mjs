// `npm test`: sets up what is missing, builds, runs every test and closes with one line that sums them all.
//   npm test -- --only unit|editor|browser   one part
//   npm test -- WORD                         the test files whose path holds the word
import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { needChromium } from './set-up/chromium.mjs'
import { needNeovim } from './set-up/neovim.mjs'
import { installPackages } from './set-up/packages.mjs'
import { environmentWith, nodeForEditor, nodeForTests } from './set-up/recent-node.mjs'
import { needSampleMeshes } from './set-up/sample-meshes.mjs'
import { run } from './set-up/run.mjs'
import { countSuite, countVitest } from './set-up/count.mjs'

const root = fileURLToPath(new URL('..', import.meta.url))
const results = join(root, '.cache/results')
const parts = ['unit', 'editor', 'browser']
const total = { passed: 0, failed: 0 }

/** Ends the run early; what went wrong has been said and counted. */
class StepFailed extends Error {}

try {
  await main(readCall())
} catch (failure) {
  // A step that could not be carried out has already been counted; anything else is a fault of this script.
  if (!(failure instanceof StepFailed)) {
    console.error(failure)
    total.failed += 1
  }
}
console.log(`${total.passed} passed, ${total.failed} failed`)
process.exit(total.failed === 0 && total.passed > 0 ? 0 : 1)

async function main({ only, word }) {
  const wanted = part => only === undefined || only === part
  rmSync(results, { recursive: true, force: true })
  mkdirSync(results, { recursive: true })

  await setUp('packages', () => installPackages(root))
  const node = await setUp('Node for the tests', () => nodeForTests(root))
  const inRoot = { cwd: root, env: environmentWith(node) }
  const nodeRuns = (...words) => run(node, words, inRoot)

  await check('types', () => nodeRuns('node_modules/typescript/bin/tsc', '-b'))
  if (only === undefined && word === undefined) await check('lint', () => nodeRuns('node_modules/eslint/bin/eslint.js', '.'))
  if (!await check('build', () => nodeRuns('esbuild.js'))) throw new StepFailed('Nothing can be tested that was not built.')
  await setUp('samples', () => needSampleMeshes(root, nodeRuns))

  // The viewer's own tests draw in it too.
  await setUp('Chromium', needChromium)
  if (wanted('unit')) await setUp('Neovim', needNeovim)
  if (wanted('unit')) await vitest('unit tests', 'vitest.config.ts', { node, word })
  if (!wanted('editor') && !wanted('browser')) return

  const editorNode = await setUp('editor', async () => {
    const path = await nodeForEditor(root)
    const { code, output } = await run(path, ['tests/host/set-up.mjs'], { cwd: root, env: environmentWith(path) })
    if (code !== 0) throw new Error(output)
    return path
  })
  if (wanted('editor')) await editorSuite(editorNode, word)
  if (wanted('browser')) await vitest('tests in a browser', 'tests/editor/vitest.config.ts', { node: editorNode, word })
}

function readCall() {
  const { values, positionals } = parseArgs({ options: { only: { type: 'string' } }, allowPositionals: true })
  if (values.only !== undefined && !parts.includes(values.only)) {
    console.error(`--only takes one of ${parts.join(', ')}; it was given "${values.only}".`)
    process.exit(2)
  }
  return { only: values.only, word: positionals[0] }
}

/** A step without which the rest has no sense: it is counted only when it fails. */
async function setUp(name, work) {
  const finish = begin(name)
  try {
    const result = await work()
    finish('ready')
    return result
  } catch (failure) {
    finish('failed')
    console.error(failure.message)
    total.failed += 1
    throw new StepFailed(name)
  }
}

/** A check that passes or fails as a whole. */
async function check(name, work) {
  const finish = begin(name)
  const { code, output } = await work()
  finish(code === 0 ? 'passed' : 'failed')
  if (code === 0) total.passed += 1
  else total.failed += 1
  if (code !== 0) console.error(output)
  return code === 0
}

async function vitest(name, config, { node, word }) {
  const file = join(results, `${config.replaceAll('/', '-')}.json`)
  await count(name, file, countVitest, () => run(node, [
    'node_modules/vitest/vitest.mjs', 'run', '--config', config, '--passWithNoTests',
    '--reporter=dot', '--reporter=json', `--outputFile.json=${file}`, ...(word === undefined ? [] : [word]),
  ], { cwd: root, env: environmentWith(node), secondsAllowed: 1500 }))
}

async function editorSuite(node, word) {
  const file = join(results, 'editor-suite.json')
  const env = { ...environmentWith(node), EDITOR_TEST_RESULT: file, EDITOR_TEST_WORD: word ?? '' }
  await count('tests in the editor', file, countSuite, () => run(node, ['tests/editor/run-suite.ts'], { cwd: root, env }))
}

/** Runs a test runner and adds up what it wrote; a runner that crashed is a failure even if every test passed. */
async function count(name, file, read, work) {
  const finish = begin(name)
  const { code, output } = await work()
  const { passed, failed, remarks } = read(file, code)
  finish(`${passed} passed, ${failed} failed`)
  for (const remark of remarks) console.error(remark)
  if (failed > 0) console.error(output)
  total.passed += passed
  total.failed += failed
}

/** One line a step: its name, a dot for every ten seconds, then the outcome and the time it took. */
function begin(name) {
  const start = performance.now()
  process.stdout.write(`${name}: `)
  let dotted = ''
  const dots = setInterval(() => {
    dotted = ' '
    process.stdout.write('.')
  }, 10_000)
  return outcome => {
    clearInterval(dots)
    process.stdout.write(`${dotted}${outcome} (${((performance.now() - start) / 1000).toFixed(1)} s)\n`)
  }
}
