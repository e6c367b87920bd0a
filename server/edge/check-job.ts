import { components, type Component, type Finding } from '../../shared/finding.ts'
import { neverCancelled, type Cancellation } from '../../shared/cancellation.ts'
import {
  contactFindings, openScene, readProgram, resultFindings, stockFindings, summarise, underWaivers, worstFigures,
  type CheckResult, type ContactFigures, type MeasuredPart, type Obstacle, type PartMesh, type ReadProgram, type Scene, type StockFigures, type ToolSummary, type WorstFigure,
} from '../engine/service.ts'
import { CalledPrograms } from './called-programs.ts'
import { ContactPool } from './contact-pool.ts'
import { lostFindings, lostResult, lostStock } from './lost-findings.ts'
import type { MayRead } from './outside-files.ts'
import type { CheckedBeside } from './prove-reach.ts'
import { readInputs, readObstacles } from './read-inputs.ts'
import { ResultPool } from './result-pool.ts'
import { choiceFindings, chooseSetup, type SetupChoice } from './setup-choice.ts'
import { readStockSource } from './stock-source.ts'
import { StockThread } from './stock-thread.ts'
import type { StorePlace } from './result-store.ts'
import { reasonOf } from './reason-of.ts'

/** How a check goes about its work; what it finds does not depend on it. */
export interface MeansOfCheck {
  /** Where results are kept for the next time; absent: nowhere. */
  readonly store?: StorePlace
  /** Bytes that meshes may take; absent: as many as there are. A mesh that does not fit is not opened, and that is said. */
  readonly memory?: number
  /** Asked before a file is read that the sheet or machine file names; absent: every file may be. */
  readonly mayRead?: MayRead
  /** Hears what is worth a line of its own beside the findings. */
  readonly log?: (sentence: string) => void
}

/** One program to check, with the files it needs looked up on the disk. */
export interface CheckJob extends MeansOfCheck, SetupChoice {
  readonly path: string
  readonly text: string
  readonly threads: number
  /** Proven width of each contact figure, mm. */
  readonly epsilon: number
  /** 1-based lines, both ends included, whose motions are searched for contact; all when absent. */
  readonly lines?: { readonly first: number, readonly last: number }
  readonly onProgress?: (done: number, total: number) => void
  /** Patches of the part's surface over which what is left has been measured, of how many; after the contact search. */
  readonly onMeasured?: (done: number, total: number) => void
  readonly cancellation?: Cancellation
}

/** The files of a job as they were read, with the threads that search them. */
export interface OpenedJob {
  readonly scene: Scene
  readonly sheetPath: string | undefined
  /** Undefined where nothing can be searched. */
  readonly searched: { readonly pool: ContactPool, readonly surface: ResultPool, readonly mesh: PartMesh, readonly obstacles: readonly Obstacle[] } | undefined
  /** Undefined where the sheet gives no stock. */
  readonly stock: StockThread | undefined
  /** What is wrong with the files. */
  readonly findings: readonly Finding[]
  readonly close: () => Promise<void>
}

/** A text that was checked, with the figures of its whole search. */
export interface CheckedText {
  readonly result: CheckResult
  /** Undefined where nothing was searched. */
  readonly figures: ContactFigures | undefined
  /** Undefined where nothing was measured on the part. */
  readonly measured: MeasuredPart | undefined
}

/** Reads sheet, machine, meshes and stock; whoever opens a job closes it. */
export async function openJob({ path, setupPath, threads, store, memory, log, mayRead }: Pick<CheckJob, 'path' | 'setupPath' | 'threads' | keyof MeansOfCheck>): Promise<OpenedJob> {
  const sheetPath = chooseSetup(path, setupPath).setupPath
  const inputs = await readInputs(sheetPath, { mayRead })
  const scene = openScene(inputs.sheet, inputs.machine, inputs.failures), read = await readStockSource(scene, { mayRead })
  const stock = read === undefined ? undefined : new StockThread(read.source, { store, log })
  const pool = !scene.usable || inputs.part === undefined ? undefined : new ContactPool(threads, { store, memory, log })
  const surface = new ResultPool(threads, { store, log })
  const close = async () => { await Promise.all([stock?.dispose(), pool?.dispose(), surface.dispose()]) }
  const alone = { scene, sheetPath, searched: undefined, stock, findings: [...scene.findings, ...read?.findings ?? []], close }
  if (pool === undefined || inputs.part === undefined) return alone
  try {
    const { mesh, obstacles, findings, identity } = await pool.openMeshes(inputs.part, await readObstacles(scene, { mayRead }), scene)
    if (mesh !== undefined) pool.load(scene, mesh, obstacles, identity)
    return { ...alone, searched: mesh === undefined ? undefined : { pool, surface, mesh, obstacles }, findings: [...alone.findings, ...findings] }
  } catch (error) {
    await close()
    throw error
  }
}

/** Checks a text among the files of a job: its contact and its way through the stock at the same time. */
export async function checkText(opened: OpenedJob, job: CheckJob): Promise<CheckedText> {
  const { scene, sheetPath } = opened
  const program = readProgram({ path: job.path, text: job.text }, scene, {
    cancellation: job.cancellation, programs: new CalledPrograms(job.path, sheetPath).find,
  })
  const ofFiles = [...opened.findings, ...choiceFindings(job.path, job)]
  if (!program.complete) return { result: summarise(program, scene, underWaivers(program, ofFiles), []), figures: undefined, measured: undefined }
  const range = motionsOfLines(program, job.lines), progress = new JointProgress(job.onProgress)
  const [contact, stock] = await Promise.all([
    searchContact(opened, program, range, job, progress.part(opened.searched === undefined ? 0 : range.count)),
    followStock(opened, program, job, progress.part(opened.stock === undefined ? 0 : program.toolpath.count)),
  ])
  const left = await measureSurface(opened, program, job)
  const undecided = { stock: stock.isLost, result: left.measured === undefined }
  const findings = underWaivers(program, [...ofFiles, ...contact.findings, ...stock.findings, ...left.findings], undecided)
  const result = summarise(program, scene, findings, contact.tools, stock.figures, left.measured?.result)
  return { result: left.isLost ? { ...result, surfaceLost: true } : result, figures: contact.figures, measured: left.measured }
}

/** Checks a text with another scene of the same files, but for its contact: text and motion, the stock, what is left. Undefined once nobody waits. */
export async function checkBesideContact(opened: OpenedJob, job: CheckJob, scene: Scene): Promise<CheckedBeside | undefined> {
  const program = readProgram({ path: job.path, text: job.text }, scene, { cancellation: job.cancellation, programs: new CalledPrograms(job.path, opened.sheetPath).find })
  if (!program.complete) return undefined
  const read = await readStockSource(scene, { mayRead: job.mayRead }), { store, log } = job
  // A thread of its own: that of the job goes on from what it has run, with the tools as they were.
  const other = { ...opened, scene, stock: read === undefined ? undefined : new StockThread(read.source, { store, log }) }
  try {
    const stock = await followStock(other, program, job, done => job.onProgress?.(done, program.toolpath.count)), left = await measureSurface(other, program, job)
    if (job.cancellation?.cancelled() === true) return undefined
    return {
      judged: { program, findings: [...program.findings, ...stock.findings, ...left.findings] },
      lookedAt: { obstacles: opened.searched?.obstacles ?? [], stock: stock.figures !== undefined, surface: left.measured !== undefined },
    }
  } finally {
    await other.stock?.dispose()
  }
}

/** What is left on the part, once the threads are free; what part of a program leaves says nothing about the part. */
async function measureSurface({ searched, scene }: OpenedJob, program: ReadProgram, job: CheckJob): Promise<{ findings: readonly Finding[], measured?: MeasuredPart, isLost: boolean }> {
  if (searched === undefined || job.lines !== undefined) return { findings: [], isLost: false }
  try {
    const measured = await searched.surface.measure(program, scene, searched.mesh, { cancellation: job.cancellation ?? neverCancelled, onProgress: job.onMeasured })
    return measured === undefined ? { findings: [], isLost: false } : { findings: resultFindings(program, scene, measured.result), measured, isLost: false }
  } catch (error) {
    // What the other searches have found is told all the same.
    job.log?.(`What is left on the part was not measured: ${reasonOf(error)}`)
    return { findings: [lostResult(error)], isLost: true }
  }
}

/** Several works at the same time, told as one. */
class JointProgress {
  readonly #tell: CheckJob['onProgress']
  #done = 0
  #total = 0

  constructor(tell: CheckJob['onProgress']) {
    this.#tell = tell
  }

  /** A part of so many motions; answers how it tells how many of them are done. */
  part(total: number): (done: number) => void {
    this.#total += total
    let before = 0
    return done => {
      this.#done += done - before
      before = done
      this.#tell?.(this.#done, this.#total)
    }
  }
}

async function searchContact({ searched, scene }: OpenedJob, program: ReadProgram, range: { readonly first: number, readonly count: number }, job: CheckJob, onProgress: (done: number) => void): Promise<{ findings: readonly Finding[], tools: readonly ToolSummary[], figures: ContactFigures | undefined }> {
  if (searched === undefined) return { findings: [], tools: [], figures: undefined }
  const { pool, mesh } = searched, options = { epsilon: job.epsilon, cancellation: job.cancellation ?? neverCancelled }
  let done = 0
  const figures = await pool.search(program, { ...options, runs: [range] }, run => {
    done += run.count
    onProgress(done)
  })
  if (figures.lost.length === 0 && !options.cancellation.cancelled()) await pool.keep(program, job.epsilon, figures)
  const near = worstFigures(program, scene, figures)
  const tools = job.lines === undefined ? await withFarFigures(pool, near, program, scene, job) : near
  return { findings: [...lostFindings(program, figures.lost), ...contactFindings(program, scene, mesh, figures)], tools, figures }
}

/** The stock is followed from the first motion on, whatever lines are asked for: what stands at one of them depends on all before. */
async function followStock({ stock, scene }: OpenedJob, program: ReadProgram, job: CheckJob, onProgress: (done: number) => void): Promise<{ findings: readonly Finding[], figures?: StockFigures, isLost: boolean }> {
  if (stock === undefined) return { findings: [], isLost: false }
  const cancellation = job.cancellation ?? neverCancelled
  let findings: readonly Finding[] = []
  try {
    findings = (await stock.open(cancellation)).findings
    const figures = await stock.run(program, scene, cancellation, onProgress)
    return figures === undefined ? { findings, isLost: false } : { findings: [...findings, ...stockFindings(program, scene, figures)], figures, isLost: false }
  } catch (error) {
    job.log?.(`The stock was not followed: ${reasonOf(error)}`)
    return { findings: [...findings, lostStock(error)], isLost: true }
  }
}

/** Motions asked for by these lines: motions stand in the order of execution, so the span from the first to the last is taken. */
function motionsOfLines({ toolpath }: ReadProgram, lines: CheckJob['lines']): { first: number, count: number } {
  if (lines === undefined) return { first: 0, count: toolpath.count }
  let first = toolpath.count, last = -1
  for (let i = 0; i < toolpath.count; i++) {
    const line = (toolpath.line[i] ?? 0) + 1
    if (line < lines.first || line > lines.last) continue
    first = Math.min(first, i)
    last = i
  }
  return { first: Math.min(first, Math.max(last, 0)), count: Math.max(0, last - first + 1) }
}

/** Components that stayed beyond the search's reach all along get their figure from a search of their own. */
async function withFarFigures(pool: ContactPool, near: readonly ToolSummary[], program: ReadProgram, scene: Scene, job: CheckJob): Promise<ToolSummary[]> {
  const cancellation = job.cancellation ?? neverCancelled
  const tools: ToolSummary[] = []
  for (const summary of near) {
    const worst: Partial<Record<Component, WorstFigure>> = { ...summary.worst }
    const index = scene.setup?.tools.findIndex(tool => tool.number === summary.number) ?? -1
    for (const [c, component] of components.entries()) {
      if (worst[component] !== undefined || cancellation.cancelled()) continue
      const figure = await pool.searchFarthest(program, index, c, { epsilon: job.epsilon, cancellation })
      if (figure === undefined) continue
      worst[component] = {
        value: (figure.value + figure.certified) / 2,
        bound: (figure.value - figure.certified) / 2,
        line: (program.toolpath.line[figure.motion] ?? 0) + 1,
      }
    }
    tools.push({ number: summary.number, worst })
  }
  return tools
}
