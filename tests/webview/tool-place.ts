import type { Page } from 'playwright-core'
import { attribute } from './browser-page.ts'

/** CSS pixels from the canvas's upper left. */
export interface Place { readonly x: number, readonly y: number }

/** Puts the cursor on a line, 0-based, and waits until the tool stands at its end. A quick picture has the tool in it. */
export async function moveTo(page: Page, line: number): Promise<void> {
  await page.evaluate(to => window.wake.moveTo(to), line)
  await page.waitForSelector(`#viewer[data-pose-line="${line + 1}"]:not([data-picture=due])`)
}

/** The tool point on the screen. */
export async function toolPlace(page: Page): Promise<Place> {
  const [x, y] = ((await attribute(page, 'toolAt')) ?? '').split(',').map(Number)
  return { x, y }
}

/** The tool point on the screen, with the cursor on the line. */
export async function placeOf(page: Page, line: number): Promise<Place> {
  await moveTo(page, line)
  return await toolPlace(page)
}

/** A place on the path of the line behind this one, a little past its middle. */
export async function placeBehind(page: Page, line: number): Promise<Place> {
  const from = await placeOf(page, line), to = await placeOf(page, line + 1)
  return { x: from.x * 0.4 + to.x * 0.6, y: from.y * 0.4 + to.y * 0.6 }
}

/** The lines that the extension has been told, in order; they arrive a moment after the deed. */
export function told(page: Page): Promise<readonly number[]> {
  return page.evaluate(() => window.wake.lines)
}
