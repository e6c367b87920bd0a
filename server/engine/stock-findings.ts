import type { Finding } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Setup } from '../../shared/setup.ts'
import { MotionFlag } from '../../shared/toolpath.ts'
import { nearProblems } from './contact/contact-problems.ts'
import { defaultEpsilon } from './geometry/tolerance.ts'
import { lineNames } from './line-names.ts'
import { toFindings, type LevelSettings } from './lint/level-findings.ts'
import { extentOf, MotionRuns, runInWords } from './lint/motion-runs.ts'
import { MotionOrigins } from './motion-origins.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'
import { searchInputOf } from './search-input.ts'
import { StockMark, type StockFigures } from './stock/stock-figures.ts'
import type { StockInput } from './stock/stock-simulation.ts'

/** Rules that report what the stock has shown, some of them beside others' findings. */
export const rulesOfStock: ReadonlySet<string> = new Set([
  'rapid-into-stock', 'neck-contact', 'shank-contact', 'holder-contact', 'flute-too-short', 'plunge-without-centre-edge',
  'centre-of-ball-cutting', 'coolant-off', 'dwell-in-cut', 'spindle-stopped',
])

/** What the stock needs of a program; undefined where the sheet cannot be used. */
export function stockInputOf(program: ReadProgram, scene: Scene): StockInput | undefined {
  const input = searchInputOf(program, scene, defaultEpsilon)
  if (input === undefined || scene.setup === undefined) return undefined
  return { kinematics: input.kinematics, toolpath: input.toolpath, assemblies: input.assemblies, tools: scene.setup.tools }
}

/** The findings of a program's way through the stock; `underWaivers` lays the reviewer's comments over them. */
export function stockFindings(program: ReadProgram, scene: Scene, figures: StockFigures, levels: LevelSettings = {}): Finding[] {
  const { setup } = scene, input = searchInputOf(program, scene, defaultEpsilon)
  if (setup === undefined || input === undefined) return []
  const origins = new MotionOrigins(program.toolpath, program, program.called ?? new Map())
  const names = lineNames(program, scene)
  const marks = new MarkedMotions(program, setup, figures, names)
  const problems: Problem[] = [
    ...nearProblems(input, setup, figures.near, names),
    ...marks.plunges(), ...marks.centres(), ...marks.dry(), ...marks.dwells(), ...marks.stopped(),
  ]
  return toFindings(problems.map(origins.tell), levels)
}

/** The faults that follow from where material is met, each once for a run of neighbouring motions. */
class MarkedMotions {
  readonly #program: ReadProgram
  readonly #setup: Setup
  readonly #figures: StockFigures
  readonly #names: ReturnType<typeof lineNames>

  constructor(program: ReadProgram, setup: Setup, figures: StockFigures, names: ReturnType<typeof lineNames>) {
    this.#program = program
    this.#setup = setup
    this.#figures = figures
    this.#names = names
  }

  /** Along the axis into material with a cutter that does not cut at its middle. */
  plunges(): Problem[] {
    const both = StockMark.plunge | StockMark.centre
    return this.#runs(motion => (this.#marks(motion) & both) === both && this.#tool(motion)?.centreCutting === false, 'plunge-without-centre-edge', (motion, rest) =>
      `Tool ${this.#tool(motion)?.number} goes along its axis into material, and it has no edge at its middle${rest}: it would stand on the core that it does not cut.`)
  }

  /** The middle of a ball in the cut. */
  centres(): Problem[] {
    return this.#runs(motion => (this.#marks(motion) & StockMark.centre) !== 0 && this.#tool(motion)?.cutter.shape === 'ball', 'centre-of-ball-cutting', (motion, rest) =>
      `The middle of tool ${this.#tool(motion)?.number}'s ball is in the cut, where the cutting speed is nil${rest}. Lean the tool by 10 to 20 degrees.`)
  }

  /** The first motion of each use of a tool that cuts without coolant. */
  dry(): Problem[] {
    const { toolpath } = this.#program, problems: Problem[] = []
    let told = -1
    for (let motion = 0; motion < this.#figures.done; motion++) {
      const tool = toolpath.tool[motion] ?? -1
      if (tool !== told && motion > 0 && tool !== toolpath.tool[motion - 1]) told = -1
      if (told === tool || (this.#marks(motion) & StockMark.met) === 0 || ((toolpath.flags[motion] ?? 0) & MotionFlag.coolantOn) !== 0) continue
      told = tool
      problems.push(this.#problem(motion, 'coolant-off', `Tool ${this.#tool(motion)?.number} goes into the material while no coolant is on.`))
    }
    return problems
  }

  /** A dwell where the motion before it ended in the cut; one that runs several times is told once. */
  dwells(): Problem[] {
    const told = new Set<string>()
    return this.#program.dwells.flatMap(({ span, motion, file }): Problem[] => {
      const place = `${span.start} ${file ?? ''}`
      if (told.has(place) || (this.#marks(motion) & StockMark.metAtEnd) === 0) return []
      told.add(place)
      return [{
        rule: 'dwell-in-cut', span, motion, ...file === undefined ? {} : { file },
      message: `The axes stand still here while tool ${this.#tool(motion)?.number} is in the cut: ${this.#names.name(this.#program.toolpath.line[motion] ?? 0)} ends in material.`,
      }]
    })
  }

  /** A fixed cycle that goes into the material while the spindle stands: a feed move without it is told from the text. */
  stopped(): Problem[] {
    const { toolpath, findings } = this.#program
    const runs = this.#runs(motion => (this.#marks(motion) & StockMark.met) !== 0 && ((toolpath.flags[motion] ?? 0) & MotionFlag.spindleOn) === 0, 'spindle-stopped', (motion, rest) =>
      `Tool ${this.#tool(motion)?.number} goes into the material while the spindle stands still${rest}.`)
    // One cause, one finding: what the text has told is not told again.
    return findings.some(({ rule }) => rule === 'spindle-stopped') ? [] : runs
  }

  #runs(isFault: (motion: number) => boolean, rule: string, say: (motion: number, rest: string) => string): Problem[] {
    const { toolpath } = this.#program, runs = new MotionRuns(toolpath)
    for (let motion = 0; motion < this.#figures.done; motion++) if (isFault(motion)) runs.add(motion, this.#figures.removed[motion] ?? 0)
    return runs.runs.map(run => ({ ...this.#problem(run.worstMotion, rule, say(run.worstMotion, runInWords(run, toolpath, this.#names.name))), extent: extentOf(run, toolpath) }))
  }

  #problem(motion: number, rule: string, message: string): Problem {
    return { rule, motion, message, span: this.#names.span(this.#program.toolpath.line[motion] ?? 0) }
  }

  #marks(motion: number): number {
    return this.#figures.marks[motion] ?? 0
  }

  #tool(motion: number) {
    return this.#setup.tools[this.#program.toolpath.tool[motion] ?? -1]
  }
}
