/** Colours evenly apart, from the smallest figure to the largest, red green blue, 0 to 255. */
export type Scale = readonly (readonly [number, number, number])[]

/**
 * Cividis, near to far: even in lightness and the same to nearly all kinds of colour vision. Nuñez, Anderton and Renslow, "Optimizing
 * colormaps with consideration for color vision deficiency", PLOS ONE 13(7), 2018.
 */
const nearness: Scale = [
  [253, 234, 69], [226, 203, 92], [187, 175, 113], [154, 148, 120], [127, 124, 117], [98, 100, 111], [60, 77, 110], [17, 54, 108], [0, 32, 81],
]

/**
 * Warm below nought, cool above it, grey at it, and darker the farther from it on either side, evenly. Moreland, "Diverging Color
 * Maps for Scientific Visualization", ISVC 2009, from (180, 4, 38) to (59, 76, 192).
 */
const sides: Scale = [
  [180, 4, 38], [222, 96, 77], [244, 154, 123], [245, 196, 173], [221, 221, 221], [184, 208, 249], [141, 176, 254], [98, 130, 234], [59, 76, 192],
]

/** `nearness`: the smaller the figure, the more it matters. `sides`: either sign has a meaning of its own. */
export const scales = { nearness, sides } as const
export type ScaleName = keyof typeof scales

/** How many colours each scale has. */
export const STOPS = 9

/** Figures at the ends of a scale and at its middle, mm; either half is even in itself. */
export interface ScaleRange {
  readonly low: number
  readonly middle: number
  readonly high: number
}

/** Where a figure lies on its scale, 0 to 1. The viewer's shader counts alike. */
export function shareOf(figure: number, { low, middle, high }: ScaleRange): number {
  const share = figure < middle ? 0.5 * (figure - low) / (middle - low) : 0.5 + 0.5 * (figure - middle) / (high - middle)
  return Math.min(1, Math.max(0, share))
}

/** The colour of a share of the scale, 0 to 1, red green blue from 0 to 1. */
export function scaleColour(scale: Scale, share: number): readonly [number, number, number] {
  const at = Math.min(1, Math.max(0, share)) * (scale.length - 1)
  const stop = Math.min(scale.length - 2, Math.floor(at)), part = at - stop
  const [red = 0, green = 0, blue = 0] = scale[stop] ?? [], [toRed = 0, toGreen = 0, toBlue = 0] = scale[stop + 1] ?? []
  return [(red + (toRed - red) * part) / 255, (green + (toGreen - green) * part) / 255, (blue + (toBlue - blue) * part) / 255]
}
