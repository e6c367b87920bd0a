// The samples' meshes are too large to be kept in the repository; a seeded script writes them.
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'

/** Writes the samples when a mesh that one of their setup sheets names is not there. */
export async function needSampleMeshes(root, nodeRuns) {
  if (missingMeshes(root).length === 0) return
  const { code, output } = await nodeRuns('.scripts/samples.mjs')
  if (code !== 0) throw new Error(`The samples could not be written.\n${output}`)
  const missing = missingMeshes(root)
  if (missing.length > 0) throw new Error(`The samples were written, but not ${missing.join(', ')}.`)
}

function missingMeshes(root) {
  const samples = join(root, 'samples')
  const sheets = readdirSync(samples, { recursive: true, encoding: 'utf8' }).filter(name => name.endsWith('.setup.json'))
  return sheets.flatMap(sheet => {
    const text = readFileSync(join(samples, sheet), 'utf8')
    const meshes = [...text.matchAll(/"mesh"\s*:\s*"([^"]+)"/g)].map(([, name]) => join(samples, dirname(sheet), name))
    return meshes.filter(path => !existsSync(path))
  })
}
