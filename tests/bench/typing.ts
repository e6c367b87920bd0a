// How long the editor's main thread is busy with each letter typed into a long program:
//   node tests/bench/typing.ts [BLOCKS]
// The same text without a language of ours stands beside it, typed in the same window by turns. An editor is needed, as for
// the tests in one.
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { goToLine, openFile, openWorkbench } from '../editor/outside/workbench.ts'
import { boreProgram } from './bore.ts'
import { quantile } from './measure.ts'

const [blocks = 500_000] = process.argv.slice(2).map(Number)
const ROUNDS = 3
/** ms between two letters: 400 a minute. */
const PAUSE = 150
const WORDS = ' (LIP OF THE BORE, SECOND PASS)'

const workbench = await openWorkbench({ settings: { 'editor.autoClosingBrackets': 'never', 'files.autoSave': 'off', 'workbench.editorLargeFileConfirmation': 1024 } })
try {
  const { page, folder } = workbench, text = boreProgram(blocks)
  for (const name of ['long.nc', 'long.txt']) writeFileSync(join(folder, name), text)
  await watchKeys(page)
  const own: number[] = [], plain: number[] = []
  for (let round = 0; round < ROUNDS; round++) {
    own.push(...await typeInto(page, 'long.nc', round))
    plain.push(...await typeInto(page, 'long.txt', round))
  }
  console.log(`${blocks.toLocaleString('en-GB')} blocks, ${(text.length / 1e6).toFixed(0)} MB, ${own.length} letters each; main thread busy with a letter, ms:`)
  for (const [name, times] of [['a program', own], ['the same text without a language', plain]] as const) {
    const sorted = times.toSorted((a, b) => a - b)
    console.log(`${name}: median ${quantile(sorted, 0.5).toFixed(1)}, 99th percentile ${quantile(sorted, 0.99).toFixed(1)}, longest ${sorted.at(-1)?.toFixed(1)}`)
  }
} finally {
  await workbench.close()
}

/** Writes down, for each key, the time from the key to the first moment at which the page could do something else. */
async function watchKeys(page: Page): Promise<void> {
  await page.evaluate(() => {
    const times: number[] = [], { port1, port2 } = new MessageChannel()
    let pressed = 0
    port1.onmessage = () => times.push(performance.now() - pressed)
    window.addEventListener('keydown', event => {
      pressed = event.timeStamp
      port2.postMessage(0)
    }, true)
    Object.assign(window, { keyTimes: times })
  })
}

async function typeInto(page: Page, name: string, round: number): Promise<number[]> {
  await openFile(page, name)
  await goToLine(page, Math.floor(blocks * (0.3 + 0.2 * round)))
  await page.keyboard.press('End')
  // Read to its end, and searched as far as it can be.
  await page.waitForTimeout(8_000)
  await page.evaluate(() => { (window as unknown as { keyTimes: number[] }).keyTimes.length = 0 })
  for (const letter of WORDS) {
    await page.keyboard.type(letter)
    await page.waitForTimeout(PAUSE)
  }
  return await page.evaluate(() => [...(window as unknown as { keyTimes: number[] }).keyTimes])
}
