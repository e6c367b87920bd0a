/** Colours of sRGB, 0 to 1, as light (IEC 61966-2-1). */
export function linearLight(colour: readonly number[]): number[] {
  return colour.map(part => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
}

interface Polar { readonly M: number, readonly s: number, readonly h: number }

const white = [0.9505, 1, 1.089]
/** Of the middle, without saturation. */
const M = 88

/**
 * Red, green and blue, 0 to 255, of the diverging map from warm to cool as it is published: Moreland, "Diverging Color Maps for
 * Scientific Visualization", ISVC 2009, section 5. Polar coordinates of CIELAB (D65), M = |Lab|, s = acos(L / M), h = atan2(b, a);
 * each side runs from its end to M = 88 without saturation, the hue spun so that it moves evenly. Lab by CIE 15. `share`: 0 to 1.
 */
export function divergingColour(share: number): number[] {
  return toRgb(share < 0.5 ? side(toPolar([180 / 255, 4 / 255, 38 / 255]), 2 * share) : side(toPolar([59 / 255, 76 / 255, 192 / 255]), 2 - 2 * share))
}

/** From an end, 0, to the middle, 1. */
function side(end: Polar, share: number): Polar {
  const spin = end.s * Math.sqrt(M * M - end.M * end.M) / (end.M * Math.sin(end.s))
  const middle = { M, s: 0, h: end.h > -Math.PI / 3 ? end.h + spin : end.h - spin }
  return { M: end.M + (middle.M - end.M) * share, s: end.s * (1 - share), h: end.h + (middle.h - end.h) * share }
}

function toPolar(colour: readonly number[]): Polar {
  const f = (t: number) => t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116
  const [r, g, b] = linearLight(colour)
  const [x, y, z] = [0.4124 * r + 0.3576 * g + 0.1805 * b, 0.2126 * r + 0.7152 * g + 0.0722 * b, 0.0193 * r + 0.1192 * g + 0.9505 * b].map((part, i) => f(part / white[i]))
  const L = 116 * y - 16, a = 500 * (x - y), c = 200 * (y - z), length = Math.hypot(L, a, c)
  return { M: length, s: Math.acos(L / length), h: Math.atan2(c, a) }
}

function toRgb({ M: length, s, h }: Polar): number[] {
  const L = length * Math.cos(s), fy = (L + 16) / 116
  const [x, y, z] = [fy + length * Math.sin(s) * Math.cos(h) / 500, fy, fy - length * Math.sin(s) * Math.sin(h) / 200].map((t, i) => white[i] * (t > 0.206893 ? t ** 3 : (t - 16 / 116) / 7.787))
  return [3.2406 * x - 1.5372 * y - 0.4986 * z, -0.9689 * x + 1.8758 * y + 0.0415 * z, 0.0557 * x - 0.204 * y + 1.057 * z]
    .map(part => 255 * Math.min(1, Math.max(0, part <= 0.0031308 ? 12.92 * part : 1.055 * part ** (1 / 2.4) - 0.055)))
}
