/**
 * Cividis, from far to near: even in lightness and the same to nearly all kinds of colour vision. Nuñez, Anderton and Renslow, "Optimizing
 * colormaps with consideration for color vision deficiency", PLOS ONE 13(7), 2018. Nine stops, red green blue, 0 to 255.
 */
export const scaleStops: readonly (readonly [number, number, number])[] = [
  [0, 32, 81], [17, 54, 108], [60, 77, 110], [98, 100, 111], [127, 124, 117], [154, 148, 120], [187, 175, 113], [226, 203, 92], [253, 234, 69],
]

/** The colour of a share of the scale, 0 to 1, red green blue from 0 to 1. */
export function scaleColour(share: number): readonly [number, number, number] {
  const at = Math.min(1, Math.max(0, share)) * (scaleStops.length - 1)
  const stop = Math.min(scaleStops.length - 2, Math.floor(at)), part = at - stop
  const a = scaleStops[stop], b = scaleStops[stop + 1]
  return [(a[0] + (b[0] - a[0]) * part) / 255, (a[1] + (b[1] - a[1]) * part) / 255, (a[2] + (b[2] - a[2]) * part) / 255]
}
