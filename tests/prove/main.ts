import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { SeededRandom } from '../harness/seeded-random.ts'
import { askQueries } from './queries.ts'
import { newRecord, Tally, type ProofRecord } from './tally.ts'

const usage = `npm run prove                               a million random queries against brute force: some hours
npm run prove -- --queries 20000            as many, from the same seed
npm run prove -- --seed 7                   other ones
npm run prove -- --output proof.json        writes down what it has come to, and goes on from there next time
npm run prove -- --case 12345               one case again`

const { values } = parseArgs({
  options: { queries: { type: 'string', default: '1000000' }, seed: { type: 'string', default: '1' }, output: { type: 'string' }, case: { type: 'string' }, help: { type: 'boolean' } },
})

/** Cases between two lines of progress. */
const perLine = 100

if (values.help === true) console.log(usage)
else if (values.case !== undefined) again(Number(values.case))
else prove(Number(values.queries), Number(values.seed), values.output)

function again(seed: number): void {
  const tally = new Tally(newRecord(seed)), faults = askQueries(new SeededRandom(seed), tally)
  console.log([tally.text(), ...faults].join('\n'))
  if (faults.length > 0) process.exitCode = 1
}

function prove(queries: number, firstSeed: number, output: string | undefined): void {
  const record = output !== undefined && existsSync(output) ? JSON.parse(readFileSync(output, 'utf8')) as ProofRecord : newRecord(firstSeed)
  const tally = new Tally(record)
  const keep = () => {
    if (output !== undefined) writeFileSync(output, `${JSON.stringify(record, undefined, 2)}\n`)
  }
  let wrong = 0
  while (tally.queries < queries) {
    const seed = record.nextSeed++
    for (const fault of askQueries(new SeededRandom(seed), tally)) {
      wrong++
      console.log(`case ${seed}, ${fault}`)
    }
    if (record.nextSeed % perLine !== 0) continue
    keep()
    process.stderr.write(`${tally.queries.toLocaleString('en-GB')} of ${queries.toLocaleString('en-GB')} queries, ${wrong} faults\n`)
  }
  keep()
  console.log(`cases ${record.firstSeed} to ${record.nextSeed - 1}\n\n${tally.text()}`)
  if (wrong > 0) process.exitCode = 1
}
