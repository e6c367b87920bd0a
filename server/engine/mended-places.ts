import type { Cancellation } from '../../shared/cancellation.ts'
import { components } from '../../shared/finding.ts'
import { FIGURES_PER_MOTION, type ContactFigures } from './contact/contact-figures.ts'
import { motionFaults, type MotionFault } from './contact/motion-faults.ts'
import type { SearchInput } from './contact/search-motions.ts'
import type { Choice } from './mend/choose-steps.ts'
import type { FaultySpan } from './mend/faulty-spans.ts'
import type { Attempt, FigureChange } from './mend/try-steps.ts'
import { aimsOf, missesOf } from './mend-aims.ts'
import { fastMotions } from './mend-feeds.ts'
import type { Scene } from './open-scene.ts'
import type { ReadProgram } from './read-program.ts'

/** A changed text as it was read and searched. */
export interface SearchedText {
  readonly program: ReadProgram
  readonly search: SearchInput
  readonly figures: ContactFigures
  /** For each motion that of the program as it was. */
  readonly origins: Int32Array
}

/** A place as the changed text shows it. */
export interface PlaceInText {
  /** With the figures of the text in the place of those that the correction was worked out with. */
  readonly attempt: Attempt
  /** Faults of the place that the text still has. */
  readonly remaining: number
}

/**
 * Says of corrected places what the text that was written shows of them. A correction is worked out on motions by themselves: what is told of it, and
 * called proven, is read off the text.
 */
export function placesInText(text: SearchedText, scene: Scene, cancellation: Cancellation): (choice: Choice & { readonly attempt: Attempt }) => PlaceInText {
  const { program, search, figures, origins } = text
  const faults = motionFaults(search, figures).map(fault => ({ ...fault, motion: origins[fault.motion] ?? 0 }))
  // Looked for in the whole program, and only where a place asks.
  let misses: readonly number[] | undefined, fast: readonly number[] | undefined
  const missing = () => misses ??= missesOf(program, scene, aimsOf(program, scene), cancellation).map(motion => origins[motion] ?? 0)
  const hurried = () => fast ??= fastMotions(program, scene, cancellation).map(({ motion }) => origins[motion] ?? 0)
  return ({ span, attempt }) => {
    const isHere = (motion: number) => motion >= span.first && motion <= span.last
    const own = faults.filter(fault => isHere(fault.motion) && isOf(fault, span))
    const remaining = own.length + (span.misses === true ? missing().filter(isHere).length : 0) + (span.isFast === true ? hurried().filter(isHere).length : 0)
    return { attempt: { ...attempt, figures: attempt.figures.map(figure => figureInText(figure, span, attempt, own, text)) }, remaining }
  }
}

/** What stands beside a place and was not to be mended, since somebody has accepted it for instance, is none of its faults. */
function isOf(fault: MotionFault, { isPlanned, faults }: FaultySpan): boolean {
  return isPlanned === true || faults.some(each => Math.abs(each.motion - fault.motion) <= 1 && isSame(each, fault))
}

function isSame(a: Pick<FigureChange, 'component' | 'against'>, b: Pick<FigureChange, 'component' | 'against'>): boolean {
  return a.component === b.component && a.against?.kind === b.against?.kind && a.against?.index === b.against?.index
}

function figureInText(figure: FigureChange, span: FaultySpan, { wanted }: Attempt, own: readonly MotionFault[], { figures, origins }: SearchedText): FigureChange {
  if (figure.against !== undefined) {
    // Beyond what must be kept no figure is known of fixtures and barriers.
    const worst = own.filter(fault => isSame(fault, figure)).reduce<MotionFault | undefined>((a, b) => a === undefined || b.value < a.value ? b : a, undefined)
    return { ...figure, after: worst }
  }
  const motions = new Set(span.isPlanned === true ? wanted.keys() : span.faults.filter(fault => isSame(fault, figure)).map(({ motion }) => motion))
  let value = Infinity, certified = Infinity
  for (let i = 0; i < figures.count; i++) {
    if (!motions.has(origins[figures.firstMotion + i] ?? -1)) continue
    const at = i * FIGURES_PER_MOTION + components.indexOf(figure.component)
    value = Math.min(value, figures.value[at] ?? Infinity)
    certified = Math.min(certified, figures.certified[at] ?? Infinity)
  }
  return { ...figure, after: value === Infinity ? undefined : { value, certified } }
}
