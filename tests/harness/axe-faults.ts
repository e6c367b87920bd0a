import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Page } from 'playwright-core'

// Pages are held against axe-core, whose rules follow WCAG 2 A and AA, and good practice.

const source = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

interface AxeResult {
  readonly violations: readonly { readonly id: string, readonly help: string, readonly nodes: readonly { readonly target: readonly unknown[], readonly failureSummary?: string }[] }[]
}

/** What axe-core finds wrong in a page as it stands, each as rule, place and words; empty where it finds nothing. */
export async function axeFaults(page: Page): Promise<string[]> {
  // Evaluated from outside, so that the page's own policy, which allows no foreign script, stays as it is.
  await page.evaluate(`if (globalThis.axe === undefined) { ${source} }`)
  const { violations } = await page.evaluate('axe.run(document, { resultTypes: ["violations"] })') as AxeResult
  return violations.flatMap(({ id, help, nodes }) => nodes.map(({ target, failureSummary }) => `${id} at ${target.join(' ')}: ${help}. ${(failureSummary ?? '').replaceAll(/\s+/g, ' ')}`))
}
