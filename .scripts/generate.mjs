// Writes what is made from the rules: server/engine/lint/RULES.md. With --check it writes nothing
// and fails where the file is not what it would write. The rules are TypeScript; they are bundled
// in memory, so that every Node the project supports can run this.
import { readFile, writeFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const root = new URL('..', import.meta.url)
const page = new URL('server/engine/lint/RULES.md', root)

const bundle = await build({
  stdin: {
    contents: "export { allRules } from './server/engine/lint/all-rules.ts'\nexport { rulesPage } from './server/engine/lint/rule-page.ts'",
    resolveDir: fileURLToPath(root),
    loader: 'ts',
  },
  bundle: true,
  format: 'esm',
  platform: 'neutral',
  write: false,
  logLevel: 'warning',
})
const { allRules, rulesPage } = await import(`data:text/javascript;base64,${Buffer.from(bundle.outputFiles[0].contents).toString('base64')}`)

const wanted = rulesPage(allRules)
const present = await readFile(page, 'utf8').catch(() => undefined)
if (present === wanted) {
  console.log(`server/engine/lint/RULES.md is up to date: ${allRules.length} rules.`)
} else if (process.argv.includes('--check')) {
  console.error('server/engine/lint/RULES.md is not what the rules say. Run `npm run generate`.')
  process.exitCode = 1
} else {
  await writeFile(page, wanted)
  console.log(`Wrote server/engine/lint/RULES.md: ${allRules.length} rules.`)
}
