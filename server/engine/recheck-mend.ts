import type { Cancellation } from '../../shared/cancellation.ts'
import { components, type Edit } from '../../shared/finding.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import { FIGURES_PER_MOTION, newContactFigures, placeFigures, type ContactFigures } from './contact/contact-figures.ts'
import { motionFaults, type MotionFault } from './contact/motion-faults.ts'
import { SceneSearcher, type SceneMeshes } from './contact/scene-searcher.ts'
import { motionsPerRun, type SearchInput } from './contact/search-motions.ts'
import { unchangedMotions } from './contact/unchanged-motions.ts'
import type { ReadProgram } from './read-program.ts'
import type { Worse } from './worse-findings.ts'

/** mm. What is not proven to be nearer by this is as near as before. */
const sameFigure = 1e-4

/** Lines of a changed text by lines of the one before, and back. */
export class LineMap {
  readonly #old: readonly number[]
  readonly #isOwn: readonly boolean[]

  constructor(before: ReadProgram, after: ReadProgram, edits: readonly Edit[]) {
    const old: number[] = [], own: boolean[] = []
    let next = 0
    const sorted = [...edits].sort((a, b) => a.span.start - b.span.start)
    for (let line = 0; line < before.lineStarts.length - 1; line++) {
      const start = before.lineStarts[line] ?? 0, end = before.lineStarts[line + 1] ?? before.text.length
      let put = 0, isGone = false
      for (; next < sorted.length && (sorted[next]?.span.start ?? Infinity) < end; next++) {
        const { span, text } = sorted[next] ?? { span: { start: 0, end: 0 }, text: '' }
        put += span.start === start && span.end === start ? text.split(/\r\n|\n|\r/).length - 1 : 0
        isGone ||= span.start <= start && span.end >= end && text === ''
      }
      for (let i = 0; i < put; i++) {
        old.push(line)
        own.push(false)
      }
      if (isGone) continue
      old.push(line)
      own.push(true)
    }
    this.#old = old
    this.#isOwn = own
    if (old.length !== after.lineStarts.length - 1) throw new Error(`the changed text has ${after.lineStarts.length - 1} lines, ${old.length} were counted`)
  }

  /** The line of the old text that a line stands for; a line put in stands for the one it parts. */
  oldLine(line: number): number { return this.#old[line] ?? line }

  isOwn(line: number): boolean { return this.#isOwn[line] ?? true }
}

/** For each motion of the changed program the motion of the old one that it is, or is a part of. */
export function originsOf(before: Toolpath, after: Toolpath, lines: LineMap): Int32Array {
  const origins = new Int32Array(after.count)
  let j = 0
  for (let i = 0; i < after.count; i++) {
    const line = lines.oldLine(after.line[i] ?? 0)
    // Motions of blocks that are gone, or that no longer move.
    if (j < before.count && before.line[j] !== line) {
      let k = j
      while (k < before.count && k - j < 4096 && before.line[k] !== line) k++
      if (before.line[k] === line) j = k
    }
    origins[i] = Math.min(j, before.count - 1)
    if (lines.isOwn(after.line[i] ?? 0)) j++
  }
  return origins
}

/** The figures of the changed program: those of motions that are the same for the search are taken over, the others searched. Undefined once nobody waits. */
export function figuresAfter(before: SearchInput, after: SearchInput, meshes: SceneMeshes, known: ContactFigures, cancellation: Cancellation): ContactFigures | undefined {
  const same = unchangedMotions(before, after), figures = newContactFigures(0, same.length)
  if (cancellation.cancelled()) return undefined
  takeOver(known, same, figures)
  const searcher = new SceneSearcher(after, meshes, cancellation)
  for (let i = 0; i < same.length;) {
    const first = i
    while (i < same.length && i - first < motionsPerRun && same[i] === -1) i++
    if (i === first) i++
    else placeFigures(figures, searcher.searchRun(first, i - first))
    if (cancellation.cancelled()) return undefined
  }
  return figures
}

/** Puts the figures of an earlier reading where their motions stand now; `same`: see `unchangedMotions`. */
function takeOver(known: ContactFigures, same: Int32Array, figures: ContactFigures): void {
  const near = byMotion(known.near), inside = byMotion(known.inside)
  same.forEach((origin, i) => {
    if (origin < 0) return
    const from = origin * FIGURES_PER_MOTION, end = from + FIGURES_PER_MOTION, to = i * FIGURES_PER_MOTION
    figures.value.set(known.value.subarray(from, end), to)
    figures.certified.set(known.certified.subarray(from, end), to)
    figures.time.set(known.time.subarray(from, end), to)
    figures.point.set(known.point.subarray(from * 3, end * 3), to * 3)
    for (const figure of near.get(origin) ?? []) figures.near.push({ ...figure, motion: i })
    for (const start of inside.get(origin) ?? []) figures.inside.push({ ...start, motion: i })
  })
}

function byMotion<T extends { readonly motion: number }>(list: readonly T[]): Map<number, T[]> {
  const lists = new Map<number, T[]>()
  for (const entry of list) {
    const known = lists.get(entry.motion)
    if (known === undefined) lists.set(entry.motion, [entry])
    else known.push(entry)
  }
  return lists
}

/** What contact has become worse by: a fault where there was none, or one that goes deeper. */
export function worseContact(before: SearchInput, old: ContactFigures, after: SearchInput, now: ContactFigures, origins: Int32Array): Worse[] {
  const key = (fault: MotionFault, motion: number) => `${motion} ${fault.component} ${fault.against?.kind ?? ''} ${fault.against?.index ?? ''}`
  const known = new Map(motionFaults(before, old).map(fault => [key(fault, fault.motion), fault]))
  const worse: Worse[] = []
  for (const fault of motionFaults(after, now)) {
    const origin = origins[fault.motion] ?? 0
    // A place at the joint of two motions counts for either.
    const was = [origin, origin + 1, origin - 1].map(motion => known.get(key(fault, motion))).filter(each => each !== undefined)
    if (was.some(each => each.certified <= fault.value + sameFigure)) continue
    const value = old.value[origin * FIGURES_PER_MOTION + components.indexOf(fault.component)] ?? Infinity
    const kept = value === Infinity ? 'it was clear before' : `it was ${value.toFixed(3)} mm before`
    worse.push({ why: `the ${fault.component} would come to ${fault.value.toFixed(3)} mm (${fault.verdict.rule}; ${kept})`, line: before.toolpath.line[origin] ?? 0, isLeft: false, isWider: false })
  }
  return worse
}
