// Writes what the samples need and the repository does not carry: the duct's mesh. With
// --programs it also computes the duct's two programs anew. Runs on Node 20 and 24.
import { readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const duct = join(root, 'samples', 'duct')

const { makeStl } = await load('make-stl.ts')
write('duct.stl', makeStl())

if (process.argv.includes('--programs')) {
  const { makePrograms } = await load('make-programs.ts')
  for (const [name, text] of Object.entries(makePrograms())) write(name, Buffer.from(text, 'utf8'))
}

/** Bundles a file of the duct in memory and runs it. */
async function load(name) {
  const { outputFiles } = await build({
    entryPoints: [join(duct, name)], bundle: true, write: false, format: 'esm', platform: 'node', target: 'node20', logLevel: 'error',
  })
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].contents).toString('base64')}`)
}

/** Leaves a file that already holds these bytes alone, so that nobody who watches it is woken. */
function write(name, bytes) {
  const path = join(duct, name)
  const size = `${(bytes.length / 1e6).toFixed(1)} MB`
  if (holds(path, bytes)) {
    console.log(`samples/duct/${name}: up to date, ${size}`)
    return
  }
  writeFileSync(path, bytes)
  console.log(`samples/duct/${name}: written, ${size}`)
}

function holds(path, bytes) {
  try {
    return readFileSync(path).equals(bytes)
  } catch {
    return false
  }
}
