// Writes what the samples need and the repository does not carry: the meshes of duct and wall. With
// --programs it also computes their programs anew. Runs on Node 20 and 24.
import { readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const samples = join(root, 'samples')

const { makeStl } = await load('duct/make-stl.ts')
write('duct/duct.stl', makeStl())
const { makeFloor, makeProgram, makeWall } = await load('wall/make-wall.ts')
write('wall/wall.stl', makeWall())
write('wall/floor.stl', makeFloor())

if (process.argv.includes('--programs')) {
  const { makePrograms } = await load('duct/make-programs.ts')
  for (const [name, text] of Object.entries(makePrograms())) write(`duct/${name}`, Buffer.from(text, 'utf8'))
  write('wall/wall.nc', Buffer.from(makeProgram(), 'utf8'))
}

/** Bundles a file of the samples in memory and runs it. */
async function load(name) {
  const { outputFiles } = await build({
    entryPoints: [join(samples, name)], bundle: true, write: false, format: 'esm', platform: 'node', target: 'node20', logLevel: 'error',
  })
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].contents).toString('base64')}`)
}

/** Leaves a file that already holds these bytes alone, so that nobody who watches it is woken. */
function write(name, bytes) {
  const path = join(samples, name)
  const size = `${(bytes.length / 1e6).toFixed(1)} MB`
  if (holds(path, bytes)) {
    console.log(`samples/${name}: up to date, ${size}`)
    return
  }
  writeFileSync(path, bytes)
  console.log(`samples/${name}: written, ${size}`)
}

function holds(path, bytes) {
  try {
    return readFileSync(path).equals(bytes)
  } catch {
    return false
  }
}
