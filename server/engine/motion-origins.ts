import type { Related } from '../../shared/finding.ts'
import type { Problem } from '../../shared/problem.ts'
import { blockOfMotion, type Toolpath } from '../../shared/toolpath.ts'
import { lineSpan, lineStartsOf } from './nc/line-index.ts'

interface Text { readonly text: string, readonly lineStarts: Uint32Array }

/** Says of a problem about a motion where that motion comes from: the block of a called file, the calls, and which run of a loop. */
export class MotionOrigins {
  readonly #toolpath: Toolpath
  readonly #program: Text
  readonly #called: ReadonlyMap<string, string>
  readonly #texts = new Map<string, Text>()
  #runs: Map<string, number> | undefined

  /** `called`: the texts of the files that were called, by path. */
  constructor(toolpath: Toolpath, program: Text, called: ReadonlyMap<string, string>) {
    this.#toolpath = toolpath
    this.#program = program
    this.#called = called
  }

  /** The problem as users are told it. */
  readonly tell = <P extends Problem>(problem: P): Omit<P, 'motion'> => {
    const { motion, ...rest } = problem
    if (motion === undefined) return rest
    const related = this.#wayTo(motion), run = this.#runInWords(motion)
    return {
      ...rest, message: problem.message + run,
      ...related.length === 0 ? {} : { related: [...problem.related ?? [], ...related] },
    }
  }

  #wayTo(motion: number): Related[] {
    const { calls, callOf, ownLine } = this.#toolpath
    let at = callOf?.[motion] ?? -1
    const way: Related[] = [], own = ownLine?.[motion] ?? -1, file = calls?.[at]?.target
    if (own >= 0 && file !== undefined) way.push({ file, span: this.#spanOf(file, own), message: 'The motion stands here.' })
    for (; at >= 0; at = calls?.[at]?.parent ?? -1) {
      const call = calls?.[at]
      if (call === undefined) break
      way.push({ ...call.file === undefined ? {} : { file: call.file }, span: this.#spanOf(call.file, call.line), message: `O${call.program} is called here.` })
    }
    return way
  }

  #spanOf(file: string | undefined, line: number) {
    const { text, lineStarts } = this.#textOf(file)
    return lineSpan(lineStarts, text, line)
  }

  #textOf(file: string | undefined): Text {
    if (file === undefined) return this.#program
    let known = this.#texts.get(file)
    if (known === undefined) {
      const text = this.#called.get(file) ?? ''
      known = { text, lineStarts: lineStartsOf(text) }
      this.#texts.set(file, known)
    }
    return known
  }

  /** Which run of a block that runs several times. */
  #runInWords(motion: number): string {
    const { pass, count } = this.#toolpath
    if (pass === undefined) return ''
    if (this.#runs === undefined) {
      this.#runs = new Map()
      for (let i = 0; i < count; i++) {
        const key = blockOfMotion(this.#toolpath, i)
        this.#runs.set(key, Math.max(this.#runs.get(key) ?? 0, (pass[i] ?? 0) + 1))
      }
    }
    const runs = this.#runs.get(blockOfMotion(this.#toolpath, motion)) ?? 1
    return runs === 1 ? '' : ` The block runs ${runs} times; this is run ${(pass[motion] ?? 0) + 1}.`
  }
}
