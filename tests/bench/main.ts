import { readFileSync, writeFileSync } from 'node:fs'
import { cpus } from 'node:os'
import { parseArgs } from 'node:util'
import { comparisonText, reportText, type BenchReport } from './report.ts'
import { benchRows, nativeBenchRows, type BenchSize } from './rows.ts'

const usage = `npm run bench                               a table on the terminal
npm run bench -- --output new.json          and the same as JSON
npm run bench -- --quick                    a tenth of the scene, to see that it runs
npm run bench -- --large                    growth up to 5,000,000 triangles too
npm run bench -- --native                   the rows beside native libraries alone
npm run bench -- --compare old.json new.json`

const whole: BenchSize = { triangles: 1_000_000, blocks: 20_000, longBlocks: 50_000, peerBlocks: 400, readBlocks: 1_000_000, edits: 500, points: 20_000, poses: 100, runs: 5, growth: [10_000, 100_000, 1_000_000] }
const quick: BenchSize = { triangles: 100_000, blocks: 2_000, longBlocks: 5_000, peerBlocks: 100, readBlocks: 100_000, edits: 100, points: 5_000, poses: 100, runs: 3, growth: [10_000, 100_000] }

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { compare: { type: 'boolean' }, quick: { type: 'boolean' }, large: { type: 'boolean' }, native: { type: 'boolean' }, output: { type: 'string' }, worker: { type: 'string' }, server: { type: 'string' }, root: { type: 'string', default: '.' }, help: { type: 'boolean' } },
})

if (values.help === true) console.log(usage)
else if (values.compare === true) compare()
else await measure()

function compare(): void {
  if (positionals.length !== 2) {
    console.error(`To compare, name two files.\n\n${usage}`)
    process.exit(2)
  }
  const [before, after] = positionals.map(path => JSON.parse(readFileSync(path, 'utf8')) as BenchReport)
  console.log(comparisonText(before, after))
}

async function measure(): Promise<void> {
  if (values.worker === undefined || values.server === undefined) throw new Error('the bundled search thread or server is not named')
  const plain = values.quick === true ? quick : whole
  const size = values.large === true ? { ...plain, growth: [...plain.growth, 5_000_000] } : plain
  const { rows, leftOut } = await (values.native === true ? nativeBenchRows : benchRows)(size, { root: values.root, worker: values.worker, server: values.server }, what => process.stderr.write(`${what} ...\n`))
  const report: BenchReport = { format: 1, node: process.versions.node, processor: cpus()[0]?.model.trim() ?? 'unknown', triangles: size.triangles, blocks: size.blocks, rows, leftOut }
  if (values.output !== undefined) writeFileSync(values.output, `${JSON.stringify(report, undefined, 2)}\n`)
  console.log(reportText(report))
}
