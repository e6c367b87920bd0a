import { components, type Component } from '../../shared/finding.ts'
import { addCounts, newCounts, widthClasses, type Counts } from '../contact/judge-figure.ts'
import { motionWishes, type MotionWish } from '../contact/random-path.ts'

/** Counts of one kind of motion, and the engine's time for them. */
interface TimedCounts extends Counts { seconds: number }

/** What a run has come to: plain data that can be written down and gone on with. */
export interface ProofRecord {
  readonly format: 1
  readonly firstSeed: number
  /** Of the next case. */
  nextSeed: number
  readonly byComponent: Record<Component, Counts>
  readonly byMotion: Record<MotionWish, TimedCounts>
  /** Figures of all triangles of a case at once, and how many of them contradict the triangles' own. */
  readonly trees: { figures: number, violations: number }
}

export class Tally {
  readonly record: ProofRecord

  constructor(record: ProofRecord) {
    this.record = record
  }

  add(component: Component, counts: Counts): void {
    addCounts(this.record.byComponent[component], counts)
  }

  addMotion(wish: MotionWish, counts: Counts, seconds: number): void {
    addCounts(this.record.byMotion[wish], counts)
    this.record.byMotion[wish].seconds += seconds
  }

  addTree(figures: number, violations: number): void {
    this.record.trees.figures += figures
    this.record.trees.violations += violations
  }

  get queries(): number {
    return components.reduce((sum, name) => sum + this.record.byComponent[name].queries, 0)
  }

  /**
   * The table of the large-scale study of continuous collision detection (Wang et al., ACM Transactions
   * on Graphics 40(5) 188, 2021): false negatives, false positives and mean time by kind of query; with
   * it what a certificate adds to them: violated bounds and the widths of the intervals.
   */
  text(): string {
    const { byComponent, byMotion, trees } = this.record
    const all = newCounts()
    for (const name of components) addCounts(all, byComponent[name])
    const seconds = motionWishes.reduce((sum, wish) => sum + byMotion[wish].seconds, 0)
    const cells = (counts: Counts) => [
      counts.queries, counts.found, counts.falseNegatives, counts.falsePositives, counts.violations, counts.open, counts.wide, counts.notSeen,
    ].map(count => count.toLocaleString('en-GB'))
    const mean = (time: number, { queries }: Counts) => queries === 0 ? '' : (time / queries * 1e6).toFixed(1)
    const rows = [
      ['queries of', 'all', 'near', 'false negatives', 'false positives', 'bounds violated', 'open', 'wide', 'twin missed', 'mean time, µs'],
      ...components.map(name => [name, ...cells(byComponent[name]), '']),
      ...motionWishes.map(wish => [wish, ...cells(byMotion[wish]), mean(byMotion[wish].seconds, byMotion[wish])]),
      ['all', ...cells(all), mean(seconds, all)],
    ]
    const lower = [0, ...widthClasses]
    const widths = widthClasses.map((end, i) => `${end === Infinity ? `over ${lower[i]}` : `to ${end}`} µm: ${all.widths[i].toLocaleString('en-GB')}`)
    return [
      ...columns(rows), '',
      `widths of the near ones' intervals: ${widths.join('; ')}`,
      `all triangles of a case at once: ${trees.figures.toLocaleString('en-GB')} figures, ${trees.violations} above what was attained on a triangle`,
    ].join('\n')
  }
}

export function newRecord(firstSeed: number): ProofRecord {
  const counts = <K extends string>(names: readonly K[]) => Object.fromEntries(names.map(name => [name, { ...newCounts(), seconds: 0 }])) as Record<K, TimedCounts>
  return { format: 1, firstSeed, nextSeed: firstSeed, byComponent: counts(components), byMotion: counts(motionWishes), trees: { figures: 0, violations: 0 } }
}

function columns(rows: readonly (readonly string[])[]): string[] {
  const widths = rows[0].map((_, i) => Math.max(...rows.map(row => row[i].length)))
  return rows.map(row => row.map((cell, i) => i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i])).join('  ').trimEnd())
}
