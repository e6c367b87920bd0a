/** In steps of the last place: bounds carry a rounding of their own this far down, which is no reason to show one step more. */
const rounding = 1e-5

/**
 * Half the width of a proven interval, as it stands behind a "±": rounded up to so many decimals, so that it is never told smaller than it is, and
 * never nought, which would claim an exact figure.
 */
export function boundText(bound: number, decimals = 3): string {
  const steps = 10 ** decimals
  return (Math.max(1, Math.ceil(bound * steps - rounding)) / steps).toFixed(decimals)
}

/** Decimals of a length that are shown: three of a millimetre, four of an inch. `unit`: mm. */
export function decimalsOf(unit: number): number {
  return unit === 1 ? 3 : 4
}

/** Half the width of a proven interval given in mm, as it stands behind a "±" in that unit. */
export function boundNumber(mm: number, unit: number): string {
  return boundText(mm / unit, decimalsOf(unit))
}
