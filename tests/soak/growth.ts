/** What the lowest memory of the last third may exceed that of the middle third by: a share, and bytes for what the collector leaves lying. */
const allowedShare = 0.1
const allowedBytes = 32 * 2 ** 20

/**
 * Whether a memory that rises and is swept again grows: the floor of its last third against that of the middle one. The first third is
 * the warming up. `samples` in bytes, in the order of time.
 */
export function hasGrown(samples: readonly number[]): { readonly grown: boolean, readonly sentence: string } {
  if (samples.length < 9) return { grown: true, sentence: `${samples.length} measurements of the memory are too few to judge by` }
  const third = Math.floor(samples.length / 3)
  const middle = Math.min(...samples.slice(third, 2 * third)), last = Math.min(...samples.slice(2 * third))
  const megabytes = (bytes: number) => `${Math.round(bytes / 2 ** 20)} MB`
  return {
    grown: last > middle * (1 + allowedShare) + allowedBytes,
    sentence: `memory at least ${megabytes(middle)} in the middle third, ${megabytes(last)} in the last`,
  }
}
