import { components } from '../../../shared/finding.ts'
import type { NearFigure } from './near-figure.ts'
import type { InsideStart } from './starts-inside.ts'

/** Figures of one motion, one a component. */
export const FIGURES_PER_MOTION = components.length

/**
 * Certified figures of a run of motions. Those against the part stand in arrays of count ×
 * FIGURES_PER_MOTION entries, the component running fastest; those against everything else in a
 * list, since most motions come near nothing else.
 */
export interface ContactFigures {
  readonly firstMotion: number
  readonly count: number
  /** Smallest signed distance over the whole motion as attained, mm; negative: penetration. Infinity: farther than the search looked. */
  readonly value: Float64Array
  /** The true smallest distance is not below this, mm. */
  readonly certified: Float64Array
  /** Time of the worst moment in the motion, 0..1. */
  readonly time: Float32Array
  /** The point of the mesh there, three numbers an entry. */
  readonly point: Float32Array
  /** Motions of the run that begin inside the part or a fixture. */
  readonly inside: InsideStart[]
  /** Where fixtures, barriers and bodies of the machine come nearer than they may, in any order. */
  readonly near: NearFigure[]
}

export function newContactFigures(firstMotion: number, count: number): ContactFigures {
  const entries = count * FIGURES_PER_MOTION
  return {
    firstMotion, count,
    value: new Float64Array(entries).fill(Infinity),
    certified: new Float64Array(entries).fill(-Infinity),
    time: new Float32Array(entries),
    point: new Float32Array(entries * 3),
    inside: [],
    near: [],
  }
}

/** Copies a run into the whole it is a part of. */
export function placeFigures(whole: ContactFigures, run: ContactFigures): void {
  const at = (run.firstMotion - whole.firstMotion) * FIGURES_PER_MOTION
  whole.value.set(run.value, at)
  whole.certified.set(run.certified, at)
  whole.time.set(run.time, at)
  whole.point.set(run.point, at * 3)
  for (const start of run.inside) whole.inside.push(start)
  for (const figure of run.near) whole.near.push(figure)
}

/** The motions [first, first + count) of a run; the arrays are views of its own. */
export function partOfFigures(run: ContactFigures, first: number, count: number): ContactFigures {
  const from = (first - run.firstMotion) * FIGURES_PER_MOTION, to = from + count * FIGURES_PER_MOTION
  const isPart = ({ motion }: { readonly motion: number }) => motion >= first && motion < first + count
  return {
    firstMotion: first, count,
    value: run.value.subarray(from, to), certified: run.certified.subarray(from, to),
    time: run.time.subarray(from, to), point: run.point.subarray(from * 3, to * 3),
    inside: run.inside.filter(isPart), near: run.near.filter(isPart),
  }
}
