import type { Cancellation } from '../../shared/cancellation.ts'
import type { Finding } from '../../shared/finding.ts'
import { buildKinematics, type Kinematics } from '../../shared/kinematics.ts'
import type { Problem } from '../../shared/problem.ts'
import { atOnce, type Stepwise } from '../../shared/stepwise.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import type { PassLines } from './contact/effective-limits.ts'
import { DwellFinder, type DwellPlace } from './dwell-finder.ts'
import { allRules } from './lint/all-rules.ts'
import { toFindings, type LevelSettings } from './lint/level-findings.ts'
import { needsSearch } from './lint/rule.ts'
import { RuleRun } from './lint/rule-run.ts'
import { mentionsAfter, waiverMentions } from './lint/waiver-mentions.ts'
import { applyWaivers, readWaivers, type Waiver } from './lint/waivers.ts'
import { goOn } from './machine/interpret-again.ts'
import { interpretStepwise, type InterpretInput, type Interpretation } from './machine/interpreter.ts'
import type { ProgramFile } from './machine/program-source.ts'
import { MotionOrigins } from './motion-origins.ts'
import { changeBetween } from './nc/text-change.ts'
import type { Scene } from './open-scene.ts'
import { PassFinder } from './pass-finder.ts'

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
  /** Where it dwells, in the order of the run. */
  readonly dwells: readonly DwellPlace[]
  /** Lines each pass of the sheet covers. */
  readonly passLines: readonly PassLines[]
  /** The reviewer's comments that accept a finding, in the order of the text, and where the text may hold one. */
  readonly waivers: readonly Waiver[]
  readonly waiverMentions: Uint32Array
  /** Text, state and motion findings, in the order of the text, waivers applied. */
  readonly findings: readonly Finding[]
  /** False when the asker went away before the end. */
  readonly complete: boolean
  /** Where the programs came from that it calls by number. */
  readonly programs?: ReadOptions['programs']
  /** Texts of the files called, by path. */
  readonly called?: ReadonlyMap<string, string>
  /** The run and its rules, from which the reading after an edit goes on. */
  readonly run?: Interpretation
  readonly rules?: RuleRun
}

export interface ReadOptions {
  readonly cancellation?: Cancellation
  readonly levels?: LevelSettings
  /** The text of a program that is called by its number and kept in a file of its own. */
  readonly programs?: (number: number) => CalledProgram | undefined
  /** The reading of the text before an edit: what has not changed is taken over from it. */
  readonly earlier?: ReadProgram
}

/** What a reading is asked with, but for the reading before. */
type Asked = Omit<ReadOptions, 'earlier'>

/** Rules whose verdict needs the contact search: their waivers cannot be unused before it has run. */
const searched = new Set(allRules.filter(needsSearch).map(rule => rule.id))

/** Without a usable sheet nobody knows where the part lies: what depends on it is not judged. */
const rulesOfText = allRules.filter(rule => rule.group !== 'motion')

/** Reads the program, runs it through the control and the rules. Never throws on what a program holds. */
export function readProgram(file: TextFile, scene: Scene, options: ReadOptions = {}): ReadProgram {
  return atOnce(readStepwise(file, scene, options))
}

/** The same in steps of a few milliseconds, but for what is done to a whole text or path at once. */
export function* readStepwise(file: TextFile, scene: Scene, options: ReadOptions = {}): Stepwise<ReadProgram> {
  // A reading holds on to what it was asked with: with the one before it in that, to all before.
  const { machine, setup } = scene, { earlier, ...asked } = options
  // Machine and sheet make the kinematics: those of the reading before are the same, and known to its run.
  const isSame = earlier?.run?.record.machine === machine && earlier.run.record.setup === setup
  const base = setup?.offsets[setup.baseOffset] ?? {}
  const kinematics = isSame ? earlier.kinematics : buildKinematics(machine, machine.axes.map(axis => base[axis.letter] ?? 0))
  return (isSame ? yield* readAfter(earlier, file, scene, kinematics, asked) : undefined) ?? (yield* readWhole(file, scene, kinematics, asked))
}

/** From the reading before an edit on; undefined where that is of no help. */
function* readAfter(earlier: ReadProgram, file: TextFile, scene: Scene, kinematics: Kinematics, options: Asked): Stepwise<ReadProgram | undefined> {
  if (earlier.run === undefined || earlier.rules?.rules !== (scene.usable ? allRules : rulesOfText)) return undefined
  const reading = new ProgramReading(file, scene, kinematics, options, earlier.rules), change = changeBetween(earlier.text, file.text)
  const run = yield* goOn(earlier.run, file.text, change, reading.input)
  return run === undefined ? undefined : yield* reading.finish(run, mentionsAfter(earlier.waiverMentions, change, file.text))
}

function* readWhole(file: TextFile, scene: Scene, kinematics: Kinematics, options: Asked): Stepwise<ReadProgram> {
  const reading = new ProgramReading(file, scene, kinematics, options)
  return yield* reading.finish(yield* interpretStepwise(file.text, reading.input), waiverMentions(file.text))
}

/** One reading under way. */
class ProgramReading {
  readonly input: InterpretInput
  readonly #file: TextFile
  readonly #kinematics: Kinematics
  readonly #options: Asked
  readonly #problems: Problem[] = []
  readonly #called = new Map<string, string>()
  readonly #passes: PassFinder
  readonly #dwells = new DwellFinder()
  readonly #rules: RuleRun

  constructor(file: TextFile, { machine, setup, usable }: Scene, kinematics: Kinematics, options: Asked, earlier?: RuleRun) {
    this.#file = file
    this.#kinematics = kinematics
    this.#options = options
    this.#passes = new PassFinder(setup?.passes ?? [])
    this.#rules = new RuleRun({ text: file.text, setup, machine, kinematics }, usable ? allRules : rulesOfText, [this.#passes, this.#dwells], path => this.#called.get(path) ?? '', earlier)
    this.input = {
      machine, setup, kinematics,
      report: problem => { this.#problems.push(problem) },
      cancellation: options.cancellation,
      visitor: this.#rules,
      programs: number => {
        const called = options.programs?.(number)
        if (called !== undefined && 'text' in called) this.#called.set(called.path, called.text)
        return called
      },
    }
  }

  * finish(run: Interpretation, waiverMentions: Uint32Array): Stepwise<ReadProgram> {
    const { path, text } = this.#file, { levels, programs } = this.#options, { toolpath, lineStarts } = run
    yield* this.#rules.end(toolpath, lineStarts)
    const origins = new MotionOrigins(toolpath, { text, lineStarts }, this.#called)
    const problems = [...this.#problems, ...this.#rules.problems]
    const decided = (rule: string) => !searched.has(rule), waivers = readWaivers(text, waiverMentions)
    return {
      path, text, lineStarts,
      blockCount: run.blockCount,
      toolpath,
      kinematics: this.#kinematics,
      dwellSeconds: run.dwellSeconds,
      dwells: this.#dwells.notes.list,
      passLines: this.#passes.lines(lineStarts),
      waivers, waiverMentions,
      findings: applyWaivers(toFindings(problems.map(origins.tell), levels), waivers, decided, levels),
      complete: run.complete,
      programs,
      called: this.#called,
      run,
      rules: this.#rules,
    }
  }
}
