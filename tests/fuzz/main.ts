import { openSync, readFileSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import type { Finding } from '../../shared/finding.ts'
import { openMesh, openScene, readProgram, type Scene } from '../../server/engine/service.ts'
import { SeededRandom } from '../harness/seeded-random.ts'
import { asciiStl, bytesOf, cylinderWall } from '../mesh/bodies.ts'
import { asciiPly, binaryPly, glb, gltf, gltfParts, modelXml, obj, packed } from '../mesh/mesh-files.ts'
import { scrapText, spoilBytes, spoilText } from './mutate.ts'

// Spoilt programs, sheets, machine files and meshes for a fixed time: nothing may throw or hang, and
// no finding may point outside its file. The seed of a failing case is printed; `--seed` replays it.

/** A case that takes longer is a hang, ms of processor time: others may be at work too. The inputs are small, but a loop may run to its limit of blocks. */
const patience = 15_000

const { values } = parseArgs({ options: { seconds: { type: 'string', default: '300' }, seed: { type: 'string' }, root: { type: 'string', default: '.' }, trace: { type: 'string' } } })
/** Holds the seed in hand, should a case take the whole process with it. */
const trace = values.trace === undefined ? undefined : openSync(values.trace, 'w')
const sample = (name: string) => join(values.root, 'samples', name)
const machine = { path: 'duct.machine.json', text: readFileSync(sample('duct/duct.machine.json'), 'utf8') }
const sheet = { path: 'plate.setup.json', text: readFileSync(sample('plate/plate.setup.json'), 'utf8') }
const mesh = new Uint8Array(readFileSync(sample('plate/plate.stl')))
const body = cylinderWall(8, 10, 12, 2)
/** A mesh file of every form, spoilt; what is packed is spoilt before or after. */
const meshForms: readonly ((random: SeededRandom) => Uint8Array)[] = [
  random => spoilBytes(mesh, random),
  random => spoilBytes(binaryPly(body, random.next() < 0.5), random),
  random => bytesOf(spoilText(random.pick([asciiStl, asciiPly, obj])(body), random)),
  random => spoilBytes(packed(modelXml(body)), random),
  random => packed(spoilText(modelXml(body), random)),
  random => spoilBytes(random.pick([gltf, glb])(gltfParts(body)), random),
]
const programs = [
  readFileSync(sample('plate/plate.nc'), 'utf8'),
  readFileSync(sample('duct/throat-edited.nc'), 'utf8').split('\n').slice(0, 60).join('\n'),
  'O1\n#1=0\nWHILE [#1 LT 5] DO1\nG1 X#1 F100\n#1=[#1+1]\nEND1\nM98 P2 L3\nG65 P2 A1. B2.\nM30\nO2\nG91 G1 X1. F50\nG90\nM99\n',
  'G21 G17 G90 G54\nT1 M6\nS900 M3\nG43 H1 G0 Z5.\nG41 D1 G1 X5. F100\nG3 X10. Y5. I0 J5.\nG40 X0\nG81 X1. Y1. Z-2. R1. F50\nX2.\nG80\nG68.2 X1. Y2. Z3. I10. J20. K30.\nG53.1\nG1 X1. F10\nG69\nM30\n',
]
const scene = openScene(sheet, machine)

const kinds = [programCase, scrapCase, sheetCase, machineCase, meshCase]

if (values.seed !== undefined) {
  tryCase(Number(values.seed))
  console.log(`seed ${values.seed}: nothing wrong`)
} else {
  const end = Date.now() + 1000 * Number(values.seconds)
  let seed = Date.now() % 1_000_000_000
  const first = seed
  while (Date.now() < end) tryCase(seed++)
  console.log(`${seed - first} cases, seeds ${first} to ${seed - 1}: no throw, no hang, no span outside its file`)
}

function tryCase(seed: number): void {
  const random = new SeededRandom(seed), started = process.cpuUsage()
  if (trace !== undefined) writeSync(trace, `${seed}\n`, 0)
  try {
    random.pick(kinds)(random)
    const taken = process.cpuUsage(started).user / 1000
    if (taken > patience) throw new Error(`took ${taken} ms`)
  } catch (error) {
    console.error(error)
    process.exit(1)
  }
}

function programCase(random: SeededRandom): void {
  run(spoilText(random.pick(programs), random), scene)
}

function scrapCase(random: SeededRandom): void {
  run(scrapText(random), random.next() < 0.5 ? scene : openScene(undefined, undefined))
}

function sheetCase(random: SeededRandom): void {
  const text = spoilText(sheet.text, random), opened = openScene({ ...sheet, text }, machine)
  const files = { [sheet.path]: text, [machine.path]: machine.text }
  mustLieWithin(opened.findings, files)
  run(programs[0], opened, files)
}

function machineCase(random: SeededRandom): void {
  const text = spoilText(machine.text, random), opened = openScene(sheet, { ...machine, text })
  const files = { [sheet.path]: sheet.text, [machine.path]: text }
  mustLieWithin(opened.findings, files)
  run(random.pick(programs), opened, files)
}

function meshCase(random: SeededRandom): void {
  mustLieWithin(openMesh({ path: 'plate.stl', bytes: random.pick(meshForms)(random) }, scene).findings, { [sheet.path]: sheet.text })
}

function run(text: string, opened: Scene, files: Readonly<Record<string, string>> = { [sheet.path]: sheet.text, [machine.path]: machine.text }): void {
  const program = readProgram({ path: 'program.nc', text }, opened)
  mustLieWithin(program.findings, { ...files, '': text })
  if (program.lineStarts[program.lineStarts.length - 1] !== text.length) throw new Error('the lines do not cover the text')
}

/** Files by path; the program under the empty name. */
function mustLieWithin(findings: readonly Finding[], files: Readonly<Record<string, string>>): void {
  for (const { rule, span, file = '', message } of findings) {
    const text = files[file]
    if (text === undefined) throw new Error(`${rule} points into ${file}, which is no input: ${message}`)
    if (!(span.start >= 0 && span.start <= span.end && span.end <= text.length)) throw new Error(`${rule} points to ${span.start}-${span.end} of ${text.length}: ${message}`)
    if (/undefined|\[object|NaN/.test(message)) throw new Error(`${rule} says: ${message}`)
  }
}
