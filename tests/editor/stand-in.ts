#!/usr/bin/env node
// Stands in for the desktop editor's program: takes the same arguments, opens the folder in the served workbench with a
// browser, runs the tests in its extension host and ends with their exit code.
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { launchBrowser } from './browser.ts'
import type { Browser } from './browser.ts'
import { startEditorServer, workbenchAddress } from './editor-server.ts'
import type { EditorServer } from './editor-server.ts'

/** Exit codes for what is no result of the tests. */
const stopped = { fault: 70, pageCrashed: 71, noResult: 124, interrupted: 130 } as const

const secondsAllowed = Number(process.env['EDITOR_TEST_SECONDS'] ?? 300)

process.exitCode = await run(readArguments(process.argv.slice(2)))

interface Call {
  readonly extension: string
  readonly tests: string
  readonly folder: string
}

async function run(call: Call): Promise<number> {
  const userFolder = mkdtempSync(join(tmpdir(), 'tw-'))
  const outcome = Promise.withResolvers<number>()
  const late = setTimeout(() => {
    console.error(`The tests gave no result within ${secondsAllowed} s.`)
    outcome.resolve(stopped.noResult)
  }, secondsAllowed * 1000)
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => outcome.resolve(stopped.interrupted))

  let server: EditorServer | undefined
  let browser: Browser | undefined
  // The server leads a process group of its own: however this program ends, it has to go too.
  process.once('exit', () => server?.kill())
  try {
    server = await startEditorServer({ userFolder })
    browser = await launchBrowser()
    const page = await browser.newPage({ viewport: { width: 1400, height: 900 } })
    // The two functions through which the workbench hands out what a desktop editor prints and how it ends.
    await page.exposeFunction('codeAutomationLog', (kind: string, words: unknown[]) => {
      (kind === 'error' || kind === 'warn' ? console.error : console.log)(...words)
    })
    await page.exposeFunction('codeAutomationExit', (code: number) => outcome.resolve(code))
    page.on('crash', () => {
      console.error('The page with the workbench crashed.')
      outcome.resolve(stopped.pageCrashed)
    })
    await page.goto(workbenchAddress(server, call))
    const code = await outcome.promise
    const picture = process.env['EDITOR_TEST_PICTURE']
    if (code !== 0 && picture !== undefined) {
      await page.screenshot({ path: picture })
      console.error(`The screen at the end: ${picture}`)
    }
    return code
  } catch (failure) {
    console.error(failure)
    return stopped.fault
  } finally {
    clearTimeout(late)
    await browser?.close()
    await server?.stop()
    rmSync(userFolder, { recursive: true, force: true })
  }
}

function readArguments(words: readonly string[]): Call {
  const values = new Map<string, string>()
  let folder: string | undefined
  for (const word of words) {
    const option = /^--([^=]+)(?:=(.*))?$/s.exec(word)
    if (option === null) folder ??= word
    else values.set(option[1], option[2] ?? '')
  }
  const extension = values.get('extensionDevelopmentPath')
  const tests = values.get('extensionTestsPath')
  if (extension === undefined || tests === undefined || folder === undefined) {
    throw new Error('Needs a folder, --extensionDevelopmentPath=PATH and --extensionTestsPath=PATH.')
  }
  return { extension, tests, folder }
}
