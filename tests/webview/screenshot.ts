import type { Page } from 'playwright-core'

export type Colour = readonly [number, number, number]

export interface Colours {
  /** How many different colours there are. */
  readonly distinct: number
  readonly pixels: number
  readonly topLeft: Colour
  /** Pixels that lie near each of the colours asked for. */
  readonly near: readonly number[]
}

/** Counts the colours of the canvas as the screen shows it, on a blank page: the viewer's own policy would not let a picture be read. */
export async function countColours(blank: Page, page: Page, wanted: readonly string[] = []): Promise<Colours> {
  const png = (await page.locator('canvas.scene').screenshot()).toString('base64')
  return blank.evaluate(async ({ data, colours }) => {
    const bytes = Uint8Array.from(atob(data), letter => letter.charCodeAt(0))
    const picture = await createImageBitmap(new Blob([bytes], { type: 'image/png' }))
    const canvas = new OffscreenCanvas(picture.width, picture.height)
    const context = canvas.getContext('2d')
    if (context === null) throw new Error('The blank page cannot read pictures.')
    context.drawImage(picture, 0, 0)
    const pixels = context.getImageData(0, 0, picture.width, picture.height).data
    const targets = colours.map(colour => [1, 3, 5].map(at => parseInt(colour.slice(at, at + 2), 16)))
    const near = targets.map(() => 0)
    const seen = new Set<number>()
    for (let i = 0; i < pixels.length; i += 4) {
      seen.add(pixels[i] * 65536 + pixels[i + 1] * 256 + pixels[i + 2])
      for (const [k, target] of targets.entries()) {
        if (Math.abs(pixels[i] - target[0]) + Math.abs(pixels[i + 1] - target[1]) + Math.abs(pixels[i + 2] - target[2]) < 24) near[k]++
      }
    }
    return { distinct: seen.size, pixels: pixels.length / 4, topLeft: [pixels[0], pixels[1], pixels[2]] as const, near }
  }, { data: png, colours: [...wanted] })
}
