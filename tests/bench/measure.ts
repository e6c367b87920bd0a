// Timing: a warm-up that is not counted, then several runs of which the median counts; the spread
// is shown beside it, since on a busy machine it says what a difference is worth.

export interface Measured {
  readonly median: number
  readonly low: number
  readonly high: number
}

/** What is measured: the units one run of `work` does. */
export interface Load {
  readonly units: number
  readonly work: () => unknown
}

/** Rates per second of ours and of the peer, run by turns so that both meet the same machine. */
export async function ratesOf(runs: number, ours: Load, peer: Load): Promise<{ ours: Measured, peer: Measured }> {
  const rates = { ours: [] as number[], peer: [] as number[] }
  for (let i = 0; i <= runs; i++) {
    rates.peer.push(await rateOf(peer))
    rates.ours.push(await rateOf(ours))
  }
  return { ours: spread(rates.ours.slice(1)), peer: spread(rates.peer.slice(1)) }
}

async function rateOf({ units, work }: Load): Promise<number> {
  const before = performance.now()
  await work()
  return units / (performance.now() - before) * 1000
}

/** Seconds for one unit. */
export function secondsFor({ median, low, high }: Measured): Measured {
  return { median: 1 / median, low: 1 / high, high: 1 / low }
}

export function spread(values: readonly number[]): Measured {
  const sorted = [...values].sort((a, b) => a - b)
  return { median: quantile(sorted, 0.5), low: sorted[0], high: sorted[sorted.length - 1] }
}

/** Of numbers in rising order. */
export function quantile(sorted: readonly number[], share: number): number {
  const at = (sorted.length - 1) * share, low = Math.floor(at)
  return sorted[low] + (sorted[Math.min(low + 1, sorted.length - 1)] - sorted[low]) * (at - low)
}
