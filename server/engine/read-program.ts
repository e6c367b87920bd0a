import type { Cancellation } from '../../shared/cancellation.ts'
import type { Finding, Related } from '../../shared/finding.ts'
import { buildKinematics, type Kinematics } from '../../shared/kinematics.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Pass } from '../../shared/setup.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import type { PassLines } from './contact/effective-limits.ts'
import { allRules } from './lint/all-rules.ts'
import { toFindings, type LevelSettings } from './lint/level-findings.ts'
import { needsSearch } from './lint/rule.ts'
import { startRules } from './lint/run-rules.ts'
import { applyWaivers } from './lint/waivers.ts'
import { interpret } from './machine/interpreter.ts'
import type { ProgramFile } from './machine/program-source.ts'
import { MotionOrigins } from './motion-origins.ts'
import type { Scene } from './open-scene.ts'

/** A text file as the edge has read it. */
export interface TextFile { readonly path: string, readonly text: string }

/** The file of a program that is called by its number. */
export type CalledProgram = ProgramFile

/** A program read and run through the control, before any mesh is looked at. */
export interface ReadProgram {
  readonly path: string
  readonly text: string
  /** Offset of each line's start; one more entry than lines. */
  readonly lineStarts: Uint32Array
  readonly blockCount: number
  readonly toolpath: Toolpath
  readonly kinematics: Kinematics
  /** Seconds of all dwells. */
  readonly dwellSeconds: number
  /** Lines each pass of the sheet covers. */
  readonly passLines: readonly PassLines[]
  /** Text, state and motion findings, in the order of the text, waivers applied. */
  readonly findings: readonly Finding[]
  /** False when the asker went away before the end. */
  readonly complete: boolean
  /** Where the programs came from that it calls by number. */
  readonly programs?: ReadOptions['programs']
  /** Texts of the files called, by path. */
  readonly called?: ReadonlyMap<string, string>
}

export interface ReadOptions {
  readonly cancellation?: Cancellation
  readonly levels?: LevelSettings
  /** The text of a program that is called by its number and kept in a file of its own. */
  readonly programs?: (number: number) => CalledProgram | undefined
}

/** Rules whose verdict needs the contact search: their waivers cannot be unused before it has run. */
const searched = new Set(allRules.filter(needsSearch).map(rule => rule.id))

/** Reads the program, runs it through the control and the rules. Never throws on what a program holds. */
export function readProgram(file: TextFile, scene: Scene, options: ReadOptions = {}): ReadProgram {
  const { machine, setup, usable } = scene
  const base = setup?.offsets[setup.baseOffset] ?? {}
  const kinematics = buildKinematics(machine, machine.axes.map(axis => base[axis.letter] ?? 0))
  const problems: Problem[] = []
  /** Where a block runs several times, what a rule says about one place is said once. */
  const places = new Set<string>()
  let repeats = false
  const called = new Map<string, string>()
  let callSites: () => readonly Related[] = () => []
  const report = (problem: Problem) => { problems.push(problem) }
  const reportOnce = (problem: Problem) => {
    const place = `${problem.rule} ${problem.span.start} ${problem.span.end}`
    if (repeats && places.has(place)) return
    places.add(place)
    const sites = callSites()
    problems.push(sites.length === 0 ? problem : { ...problem, related: [...problem.related ?? [], ...sites] })
  }
  // Without a usable sheet nobody knows where the part lies: what depends on it is not judged.
  const rules = allRules.filter(rule => usable || rule.group !== 'motion')
  const visitor = startRules(reportOnce, { text: file.text, setup, machine, kinematics }, rules)
  const passes = new PassFinder(setup?.passes ?? [])
  const run = interpret(file.text, {
    machine, setup, kinematics, report,
    cancellation: options.cancellation,
    programs: number => {
      const file = options.programs?.(number)
      if (file !== undefined && 'text' in file) called.set(file.path, file.text)
      return file
    },
    onBlock: step => {
      callSites = step.callSites
      repeats ||= step.isRepeated
      if (step.block.sequence >= 0) passes.see(step.block.sequence, step.block.line)
      visitor.block?.(step)
    },
  })
  callSites = () => []
  visitor.end?.(run.toolpath)
  const origins = new MotionOrigins(run.toolpath, { text: file.text, lineStarts: run.lineStarts }, called)
  const decided = (rule: string) => !searched.has(rule)
  return {
    path: file.path,
    text: file.text,
    lineStarts: run.lineStarts,
    blockCount: run.blockCount,
    toolpath: run.toolpath,
    kinematics,
    dwellSeconds: run.dwellSeconds,
    passLines: passes.lines(),
    findings: applyWaivers(toFindings(problems.map(origins.tell), options.levels), file.text, decided, options.levels),
    complete: run.complete,
    programs: options.programs,
    called,
  }
}

/** Finds the lines between the sequence numbers that the sheet's passes name. */
class PassFinder {
  readonly #passes: readonly Pass[]
  readonly #from: number[]
  readonly #to: number[]

  constructor(passes: readonly Pass[]) {
    this.#passes = passes
    // A number that the program does not have covers nothing.
    this.#from = passes.map(pass => pass.from === undefined ? 0 : Infinity)
    this.#to = passes.map(pass => pass.to === undefined ? Infinity : -1)
  }

  see(sequence: number, line: number): void {
    for (let i = 0; i < this.#passes.length; i++) {
      const pass = this.#passes[i]
      if (pass?.from === sequence) this.#from[i] = Math.min(this.#from[i] ?? Infinity, line)
      if (pass?.to === sequence) this.#to[i] = Math.max(this.#to[i] ?? -1, line)
    }
  }

  lines(): PassLines[] {
    return this.#passes.map((_, i) => ({ from: this.#from[i] ?? 0, to: this.#to[i] ?? Infinity }))
  }
}
