import { readdirSync } from 'node:fs'
import { basename, dirname, join, resolve } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import type { Setup } from '../../shared/setup.ts'
import { NO_TOOL, MotionFlag } from '../../shared/toolpath.ts'
import { openScene, readProgram, stockFileOf, stockInputOf, type ReadProgram, type Scene, type StockInput, type StockSource } from '../engine/service.ts'
import { CalledPrograms } from './called-programs.ts'
import { matchesGlob } from './glob.ts'
import { isSetupSheet } from './kind-of-file.ts'
import { readAllowed, refusalOf } from './outside-files.ts'
import { LARGEST_MESH } from './read-file.ts'
import { readInputs, readProgramFile, type InputOptions } from './read-inputs.ts'

/** Names looked through for the programs of one sheet. */
const mostNames = 10_000

/** All that a scene's stock is made from. */
export interface ReadStock {
  readonly source: StockSource
  readonly findings: readonly Finding[]
  /** Every file it was made from, also those that could not be read. */
  readonly paths: readonly string[]
}

/** Reads the stock of a scene with the set-ups that come before it; undefined where its sheet gives none. `chain`: the sheets that lead here. */
export async function readStockSource(scene: Scene, options: InputOptions = {}, chain: readonly string[] = []): Promise<ReadStock | undefined> {
  const { setup } = scene
  if (setup?.stock === undefined || !scene.usable) return undefined
  const { stock } = setup
  if (stock.kind === 'from') return readEarlier(setup, scene, stock.path, options, [...chain, resolve(setup.path)])
  const wanted = stockFileOf(scene)
  const file = wanted === undefined ? undefined : await readAllowed(wanted.path, wanted.what, LARGEST_MESH, options.mayRead)
  return { source: { scene, file }, findings: [], paths: wanted === undefined ? [] : [wanted.path] }
}

async function readEarlier(setup: Setup, scene: Scene, path: string, options: InputOptions, chain: readonly string[]): Promise<ReadStock> {
  const place = { file: setup.path, span: setup.spans['stock'] ?? { start: 0, end: 0 } }
  const source: StockSource = { scene }, name = basename(path)
  const failed = (message: string, paths: readonly string[] = [path]): ReadStock => ({ source, findings: [{ rule: 'setup-error', level: 'error', ...place, message }], paths })
  if (chain.includes(resolve(path))) {
    return failed(`The stock comes from ${name}, whose stock comes from here again: ${[...chain.slice(chain.indexOf(resolve(path))), path].map(one => basename(one)).join(', then ')}. One of these sheets has to give its stock by its shape.`)
  }
  const inputs = await readInputs(path, { ...options, withoutMesh: true })
  if (inputs.sheet !== undefined && !isSetupSheet(inputs.sheet)) {
    return failed(`The stock comes from ${name}, which is no setup sheet: it holds no "tools", and its name does not end in .setup.json.`)
  }
  const earlier = openScene(inputs.sheet, inputs.machine, inputs.failures)
  const paths = [path, ...inputs.machine === undefined ? [] : [inputs.machine.path]]
  if (earlier.setup === undefined || !earlier.usable) {
    const why = earlier.findings.find(({ level }) => level === 'error')?.message ?? inputs.failures[0]?.message ?? 'it holds no setup sheet'
    return failed(`The stock comes from ${name}, which cannot be used: ${why}`, paths)
  }
  if (earlier.setup.stock === undefined) return failed(`The stock comes from ${name}, which gives no stock itself; write its "stock" there.`, paths)
  const programs = programsOfSheet(earlier.setup)
  if (programs.length === 0) return failed(`The stock comes from ${name}, but none of its "programs" lies beside it.`, paths)
  const before = await readStockSource(earlier, options, chain)
  if (before === undefined) return failed(`The stock comes from ${name}, whose stock cannot be used.`, paths)
  const findings = [...before.findings], inputsOfPrograms: StockInput[] = []
  for (const program of programs) {
    paths.push(program)
    const refusal = refusalOf(program, 'The program', options.mayRead), { file, failure } = refusal === undefined ? await readProgramFile(program) : { file: undefined, failure: refusal }
    if (file === undefined) {
      findings.push({ rule: 'not-checked', level: 'warning', ...place, message: `What ${basename(program)} cuts was not taken from the stock: ${failure ?? 'it was not read'}` })
      continue
    }
    const read = readProgram({ path: program, text: options.openText?.(program) ?? file.text }, earlier, { programs: new CalledPrograms(program, path, options.openText).find })
    const input = stockInputOf(read, earlier), lost = motionsLost(read)
    if (input !== undefined) inputsOfPrograms.push(input)
    if (lost > 0) findings.push({ rule: 'not-checked', level: 'warning', ...place, message: `${lost} of ${read.toolpath.count} motions of ${basename(program)} were not taken from the stock: their start or their tool is not known. Check that program by itself.` })
  }
  return { source: { scene, before: { source: before.source, programs: inputsOfPrograms } }, findings, paths: [...paths, ...before.paths] }
}

/** The programs of a sheet that exist, in the order in which it names them. */
export function programsOfSheet({ path, programs }: Pick<Setup, 'path' | 'programs'>): string[] {
  const folder = dirname(resolve(path))
  const found: string[] = []
  for (const glob of programs) {
    const names = namesIn(folder, glob.includes('/')).filter(name => matchesGlob(name, glob)).sort()
    for (const name of names) if (!found.includes(join(folder, name))) found.push(join(folder, name))
  }
  return found
}

function namesIn(folder: string, isDeep: boolean): string[] {
  try {
    return readdirSync(folder, { withFileTypes: true, recursive: isDeep })
      .filter(entry => entry.isFile()).slice(0, mostNames)
      .map(entry => join(entry.parentPath, entry.name).slice(folder.length + 1).replaceAll('\\', '/'))
  } catch {
    return []
  }
}

/** Motions whose start or tool nobody knows. */
function motionsLost({ toolpath }: ReadProgram): number {
  let lost = 0
  for (let i = 0; i < toolpath.count; i++) {
    const flags = toolpath.flags[i] ?? 0
    if ((flags & MotionFlag.unknownStart) !== 0 || (toolpath.tool[i] === NO_TOOL && (flags & MotionFlag.rapid) === 0)) lost++
  }
  return lost
}
