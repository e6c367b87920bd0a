/** Place of the first of the rising values that is greater than `limit`; how many there are where none is. */
export function firstAbove(values: ArrayLike<number>, limit: number, count = values.length): number {
  let low = 0, high = count
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((values[middle] ?? 0) > limit) high = middle
    else low = middle + 1
  }
  return low
}
