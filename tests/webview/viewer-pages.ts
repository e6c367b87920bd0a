import type { Browser, Page } from 'playwright-core'
import { bundlePage, launchBrowser, openPage, setTheme, settle, waitReady } from './browser-page.ts'
import type { Bundles, OpenedPage, Theme } from './browser-page.ts'
import type { HostPlan } from './page-host.ts'

/** CSS pixels. Small, since a processor has to draw every picture; wide enough that the page keeps its columns. */
export const usualSize = { width: 800, height: 560 }
type Size = typeof usualSize

interface ShownPage extends OpenedPage {
  /** What was asked for, as text: another one needs another page. */
  readonly wish: string
  /** How its switches stood when it was new. */
  readonly fresh: string
}

/**
 * The pages that the tests of one file look at. Opening one costs far more than most tests do on it, so a page goes on to the
 * next test, with its switches, view and cursor back where they were at first; what cannot be put back takes a new page.
 */
export class ViewerPages {
  readonly browser: Browser
  /** Has nothing in it. The viewer's own policy would not let pictures be read on its page. */
  readonly blank: Page
  readonly #bundles: Bundles
  readonly #usual: HostPlan
  #shown: ShownPage | undefined

  private constructor(browser: Browser, blank: Page, bundles: Bundles, usual: HostPlan) {
    this.browser = browser
    this.blank = blank
    this.#bundles = bundles
    this.#usual = usual
  }

  /** `usual`: what the extension answers from where a test does not say otherwise. `addedStyle`: rules after the page's own. */
  static async launch(usual: HostPlan, addedStyle = ''): Promise<ViewerPages> {
    const [browser, bundles] = await Promise.all([launchBrowser(), bundlePage()])
    return new ViewerPages(browser, await browser.newPage(), { ...bundles, style: bundles.style + addedStyle }, usual)
  }

  async close(): Promise<void> {
    await this.browser.close()
  }

  /** What the browser has complained about since the last time somebody asked. */
  takeComplaints(): string[] {
    return this.#shown?.complaints.splice(0) ?? []
  }

  /** A new page, whatever comes of it. */
  async open(plan: Partial<HostPlan> = {}, theme: Theme = 'light', size: Size = usualSize): Promise<Page> {
    await this.drop()
    const opened = await openPage(this.browser, this.#bundles, { ...this.#usual, ...plan }, theme, size)
    this.#shown = { ...opened, wish: '', fresh: '' }
    return opened.page
  }

  /** A page that is ready and as new, with the cursor on the line of the plan. */
  async ready(plan: Partial<HostPlan> = {}, theme: Theme = 'light'): Promise<Page> {
    const { line = 0, ...rest } = { ...this.#usual, ...plan }
    const wish = JSON.stringify(rest)
    if (this.#shown?.wish === wish && await putBack(this.#shown, theme, line)) return this.#shown.page
    const page = await this.open(plan, theme)
    await waitReady(page)
    this.#shown = { page, complaints: this.#shown?.complaints ?? [], wish, fresh: await switches(page) }
    return page
  }

  /** The next test gets a new page. */
  async drop(): Promise<void> {
    await this.#shown?.page.close()
    this.#shown = undefined
  }
}

/** Everything that stays as somebody has set it, in words: two pages with the same words look the same at the same place and view. */
function switches(page: Page): Promise<string> {
  return page.evaluate(() => {
    const texts = (selector: string) => [...document.querySelectorAll(selector)].map(one => `${one.textContent} ${one.getAttribute('aria-pressed')}`)
    const { state, drawing, segments, changes, places, stock, wake } = document.getElementById('viewer')?.dataset ?? {}
    return JSON.stringify([
      texts('.toolbar button'), texts('.transport button, .speed'), texts('.hint'), document.querySelector('select')?.value,
      document.querySelectorAll('details[open], dialog[open]').length, { state, drawing, segments, changes, places, stock, wake },
    ])
  })
}

/** Puts cursor, view, theme and switches back; false where something stays different. */
async function putBack({ page, fresh }: ShownPage, theme: Theme, line: number): Promise<boolean> {
  await page.mouse.move(0, 0)
  await page.setViewportSize(usualSize)
  await page.emulateMedia({ reducedMotion: null })
  await setTheme(page, theme)
  await page.evaluate(async ({ before, to }) => {
    const [buttons, transport, , quantity] = JSON.parse(before) as [string[], string[], string[], string]
    for (const menu of document.querySelectorAll('details[open]')) menu.removeAttribute('open')
    // Each button goes round its states.
    for (const [index, button] of document.querySelectorAll<HTMLButtonElement>('.toolbar button').entries()) {
      for (let press = 0; press < 8 && `${button.textContent} ${button.getAttribute('aria-pressed')}` !== buttons[index]; press++) button.click()
    }
    const speed = () => `${document.querySelector('.speed')?.textContent} null`
    for (const way of ['slower', 'faster']) {
      for (let press = 0; press < 8 && !transport.includes(speed()); press++) document.querySelector<HTMLElement>(`[data-action=${way}]`)?.click()
    }
    const select = document.querySelector('select')
    if (select !== null && select.value !== quantity) {
      select.value = quantity
      select.dispatchEvent(new Event('change'))
    }
    document.querySelector<HTMLElement>('[data-action=view-corner]')?.click()
    // By way of the top of the text, so that a moment within the line's motion is left too.
    for (const line of [0, to]) {
      window.wake.moveTo(line)
      while (!window.wake.isQuiet) await new Promise(done => setTimeout(done))
    }
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur()
    window.wake.forget()
  }, { before: fresh, to: line })
  await settle(page)
  return await switches(page) === fresh
}
