import type { Page } from 'playwright-core'

/** How different two pictures look: differences of colour in CIE 1976 L*a*b* units, after blurring to what an eye takes in at once. */
export interface PictureDistance {
  readonly mean: number
  /** One place in five hundred differs by more. */
  readonly tail: number
}

/**
 * Compares two PNGs on a blank page. Both are averaged over squares of 4 pixels, so that the edges of lines, which
 * every renderer smooths in its own way, count little; then the distance of CIE 15 is taken place by place.
 * A just noticeable difference is about 2 of its units.
 */
export async function pictureDistance(blank: Page, a: Buffer, b: Buffer): Promise<PictureDistance> {
  return blank.evaluate(async pictures => {
    const BLUR = 4
    const labOf = async (data: string) => {
      const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(data), letter => letter.charCodeAt(0))], { type: 'image/png' }))
      const width = Math.floor(picture.width / BLUR), height = Math.floor(picture.height / BLUR)
      const pen = new OffscreenCanvas(picture.width, picture.height).getContext('2d')
      if (pen === null) throw new Error('The blank page cannot read pictures.')
      pen.drawImage(picture, 0, 0)
      const pixels = pen.getImageData(0, 0, picture.width, picture.height).data
      const linear = (byte: number) => byte <= 10.31475 ? byte / 255 / 12.92 : ((byte / 255 + 0.055) / 1.055) ** 2.4
      const root = (t: number) => t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116
      const lab = new Float64Array(width * height * 3)
      for (let y = 0; y < height; y++) {
        for (let x = 0; x < width; x++) {
          const sum = [0, 0, 0]
          for (let k = 0; k < BLUR * BLUR; k++) {
            const at = ((y * BLUR + (k >> 2)) * picture.width + x * BLUR + (k & 3)) * 4
            for (let c = 0; c < 3; c++) sum[c] += linear(pixels[at + c]) / (BLUR * BLUR)
          }
          const [red, green, blue] = sum
          // sRGB to XYZ under D65, IEC 61966-2-1.
          const fx = root((0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505)
          const fy = root(0.2126 * red + 0.7152 * green + 0.0722 * blue)
          const fz = root((0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089)
          lab.set([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)], (y * width + x) * 3)
        }
      }
      return { lab, size: `${picture.width} ${picture.height}` }
    }
    const [one, other] = await Promise.all(pictures.map(labOf))
    if (one.size !== other.size) return { mean: Infinity, tail: Infinity }
    const distances = Float64Array.from({ length: one.lab.length / 3 }, (_, i) =>
      Math.hypot(one.lab[i * 3] - other.lab[i * 3], one.lab[i * 3 + 1] - other.lab[i * 3 + 1], one.lab[i * 3 + 2] - other.lab[i * 3 + 2])).sort()
    return { mean: distances.reduce((sum, each) => sum + each, 0) / distances.length, tail: distances[Math.floor(distances.length * 0.998)] }
  }, [a.toString('base64'), b.toString('base64')])
}
