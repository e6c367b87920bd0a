import type { Measured } from './measure.ts'

/** One figure beside its peer of the same run. */
export interface Row extends Measured {
  readonly name: string
  readonly unit: string
  readonly better: 'higher' | 'lower'
  readonly peer: { readonly name: string, readonly value: number }
}

/** What a run leaves behind, for comparing. */
export interface BenchReport {
  readonly format: 1
  readonly node: string
  readonly processor: string
  readonly triangles: number
  readonly blocks: number
  readonly rows: readonly Row[]
  /** Peers that were not at hand, and why. */
  readonly leftOut?: readonly string[]
}

/** How many times better than its peer. */
export function ratioOf({ median, better, peer }: Row): number {
  return better === 'higher' ? median / peer.value : peer.value / median
}

export function reportText({ rows, node, processor, triangles, blocks, leftOut = [] }: BenchReport): string {
  const table = rows.map(row => [row.name, `${figure(row.median)} ${row.unit}`, `${figure(row.low)} to ${figure(row.high)}`, `${figure(ratioOf(row))} ×`, `${row.peer.name}: ${figure(row.peer.value)}`])
  return [`${triangles} triangles, ${blocks} blocks; Node ${node} on ${processor}`, '', ...columns([['row', 'median', 'spread', 'of its peer', 'peer'], ...table]), ...leftOut.map(reason => `left out: ${reason}`)].join('\n')
}

/** A change beyond what either run varied by itself stands out; the peers tell whether the machine was as fast. */
export function comparisonText(before: BenchReport, after: BenchReport): string {
  const table = after.rows.flatMap(row => {
    const old = before.rows.find(candidate => candidate.name === row.name)
    if (old === undefined) return [[row.name, '', `${figure(row.median)} ${row.unit}`, 'new', '']]
    const gain = row.better === 'higher' ? row.median / old.median : old.median / row.median
    const apart = row.low > old.high || row.high < old.low
    const verdict = !apart ? 'within the spread' : gain > 1 ? 'better' : 'worse'
    return [[row.name, `${figure(old.median)} ${old.unit}`, `${figure(row.median)} ${row.unit}`, `${figure(gain)} × (against the peer ${figure(ratioOf(row) / ratioOf(old))} ×)`, verdict]]
  })
  const gone = before.rows.filter(old => !after.rows.some(row => row.name === old.name)).map(row => [row.name, `${figure(row.median)} ${row.unit}`, '', 'gone', ''])
  const machines = before.processor === after.processor && before.node === after.node ? [] : [`not the same machine: ${before.processor}, Node ${before.node}; ${after.processor}, Node ${after.node}`, '']
  const scenes = before.triangles === after.triangles && before.blocks === after.blocks ? [] : [`not the same scene: ${before.triangles} triangles and ${before.blocks} blocks; ${after.triangles} and ${after.blocks}`, '']
  return [...machines, ...scenes, ...columns([['row', 'before', 'after', 'gain', ''], ...table, ...gone])].join('\n')
}

/** Three figures that count, thousands apart. */
function figure(value: number): string {
  if (value >= 1000) return Math.round(value).toLocaleString('en-GB')
  return value === 0 ? '0' : String(Number(value.toPrecision(3)))
}

function columns(rows: readonly (readonly string[])[]): string[] {
  const widths = rows[0].map((_, i) => Math.max(...rows.map(row => row[i].length)))
  return rows.map(row => row.map((cell, i) => cell.padEnd(widths[i])).join('  ').trimEnd())
}
