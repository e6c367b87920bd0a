// How long the viewer's first picture takes and how fast it turns, in a browser that draws in software:
//   node tests/bench/viewer.ts [TRIANGLES SEGMENTS]
// Each figure stands beside that of the library's own materials on the same triangles and segments in the same browser.
import { readdirSync, readFileSync } from 'node:fs'
import { build } from 'esbuild'
import type { Browser, Page } from 'playwright-core'
import { bundlePage, launchBrowser, openPage, waitReady } from '../webview/browser-page.ts'

const [triangles = 1_000_000, segments = 500_000] = process.argv.slice(2).map(Number)
const TURNS = 12
const RUNS = 3

interface Figures { readonly first: number, readonly full: number, readonly turns: number, readonly resident: number }

const browser = await launchBrowser()
try {
  const own: Figures[] = [], peer: Figures[] = []
  for (let run = 0; run < RUNS; run++) {
    own.push(await measureOwn(browser))
    peer.push(await measurePeer(browser))
  }
  const line = (name: string, list: readonly Figures[]) => {
    const figures = (['first', 'full', 'turns', 'resident'] as const).map(key => list.map(one => one[key]).sort((a, b) => a - b)[RUNS >> 1])
    console.log(`${name}: first picture ${figures[0].toFixed(0)} ms after the data is there, full picture ${figures[1].toFixed(0)} ms, ${figures[2].toFixed(2)} pictures/s while turning, ${(figures[3] / 2 ** 20).toFixed(0)} MB resident in the page's process`)
  }
  console.log(`${triangles} triangles, ${segments} segments, 1100 × 720 pixels, medians of ${RUNS}, ${await browser.version()}`)
  line('viewer', own)
  line('plain materials of the library, two draws', peer)
} finally {
  await browser.close()
}

async function measureOwn(browser: Browser): Promise<Figures> {
  const bundles = await bundlePage()
  const { page } = await openPage(browser, bundles, { triangles, segments, line: 40, isMeasured: true }, 'light')
  await waitReady(page)
  const [first, full] = await page.evaluate(() => {
    const [last] = performance.getEntriesByName('last-slice').slice(-1)
    return ['first-picture', 'full-picture'].map(mark => performance.getEntriesByName(mark)[0].startTime - last.startTime)
  })
  const turns = await page.evaluate(async count => {
    const canvas = document.querySelector<HTMLCanvasElement>('canvas.scene'), viewer = document.getElementById('viewer')
    if (canvas === null || viewer === null) throw new Error('The page has no picture.')
    const begin = performance.now()
    for (let i = 0; i < count; i++) {
      const before = viewer.dataset.frames
      canvas.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true }))
      while (viewer.dataset.frames === before) await new Promise(drawn => requestAnimationFrame(drawn))
      // The card may still be at work when the picture has been asked for: reading a pixel waits for it.
      canvas.getContext('webgl2')?.readPixels(0, 0, 1, 1, 6408, 5121, new Uint8Array(4))
    }
    return count / (performance.now() - begin) * 1000
  }, TURNS)
  const resident = largestRenderer()
  await page.close()
  return { first, full, turns, resident }
}

async function measurePeer(browser: Browser): Promise<Figures> {
  const made = await build({ entryPoints: ['tests/bench/viewer-peer.ts'], bundle: true, format: 'iife', platform: 'browser', target: 'es2022', write: false, logLevel: 'silent' })
  const page: Page = await browser.newPage({ viewport: { width: 1100, height: 720 } })
  await page.setContent('<canvas></canvas>')
  await page.addScriptTag({ content: made.outputFiles[0].text })
  const { first, turns } = await page.evaluate(([count, all, lines]) => window.drawPlainly(all, lines, count), [TURNS, triangles, segments] as const)
  const resident = largestRenderer()
  await page.close()
  // It draws the same picture whenever it draws.
  return { first, full: first, turns, resident }
}

/** Resident memory of the browser's largest page process, bytes; Linux alone. */
function largestRenderer(): number {
  const sizes = readdirSync('/proc').filter(name => /^\d+$/.test(name)).map(pid => {
    try {
      if (!readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes('--type=renderer')) return 0
      return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1] ?? 0) * 1024
    } catch {
      // It has ended meanwhile.
      return 0
    }
  })
  return Math.max(0, ...sizes)
}
