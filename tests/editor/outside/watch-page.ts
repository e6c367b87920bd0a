import type { Page } from '../browser.ts'

export interface PageWatch {
  /** Requests that left this machine, or tried to. */
  readonly outside: readonly string[]
  /** Errors on the console that come from the extension or its viewer. */
  readonly errors: readonly string[]
}

/** Notes what a page should not do. */
export function watchPage(page: Page): PageWatch {
  const outside: string[] = []
  const errors: string[] = []
  page.on('requestfailed', request => {
    if (leavesMachine(request.url())) outside.push(`${request.url()} (${request.failure()?.errorText})`)
  })
  page.on('response', response => {
    // The viewer's files have an address outside, but the page's own service worker answers for it.
    if (leavesMachine(response.url()) && !response.fromServiceWorker()) outside.push(response.url())
  })
  page.on('console', message => {
    if (message.type() !== 'error') return
    const where = message.location().url
    if (/toolwake|dist\/webview/i.test(`${message.text()} ${where}`)) errors.push(`${message.text()} (${where})`)
  })
  page.on('pageerror', failure => {
    if (/toolwake|dist\/webview/i.test(String(failure.stack))) errors.push(String(failure.stack))
  })
  return { outside, errors }
}

function leavesMachine(address: string): boolean {
  const { protocol, hostname } = new URL(address)
  return /^(https?|wss?):$/.test(protocol) && hostname !== '127.0.0.1'
}
