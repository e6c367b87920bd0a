import type { Browser, Locator } from './browser.ts'

/** What a picture shows, as far as a number can say it. */
export interface PictureFigures {
  readonly width: number
  readonly height: number
  /** Different colours, each channel rounded to 16 steps so that smooth shading counts little. */
  readonly colours: number
  /** Share of the picture that has its most frequent colour. */
  readonly largestShare: number
  /** Brightness of that colour, 0 black to 1 white. */
  readonly groundBrightness: number
}

/** Takes a picture of the element and counts its colours, on a blank page since the workbench forbids reading pictures. */
export async function pictureFigures(browser: Browser, element: Locator): Promise<PictureFigures> {
  const png = (await element.screenshot()).toString('base64')
  const blank = await browser.newPage()
  try {
    return await blank.evaluate(async (data: string) => {
      const image = await createImageBitmap(await (await fetch(`data:image/png;base64,${data}`)).blob())
      const context = new OffscreenCanvas(image.width, image.height).getContext('2d')
      if (context === null) throw new Error('The browser gives no canvas to read from.')
      context.drawImage(image, 0, 0)
      const pixels = context.getImageData(0, 0, image.width, image.height).data
      const counts = new Map<number, number>()
      for (let at = 0; at < pixels.length; at += 4) {
        const colour = (pixels[at] >> 4) << 8 | (pixels[at + 1] >> 4) << 4 | pixels[at + 2] >> 4
        counts.set(colour, (counts.get(colour) ?? 0) + 1)
      }
      const [ground, most] = [...counts].reduce((a, b) => b[1] > a[1] ? b : a)
      return {
        width: image.width,
        height: image.height,
        colours: counts.size,
        largestShare: most / (pixels.length / 4),
        groundBrightness: ((ground >> 8) + (ground >> 4 & 15) + (ground & 15)) / 45,
      }
    }, png)
  } finally {
    await blank.close()
  }
}
