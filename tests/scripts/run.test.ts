import { describe, expect, test } from 'vitest'

interface Ended {
  readonly code: number
  readonly output: string
  readonly timeIsUp: boolean
}

type Run = (command: string, words: readonly string[], options?: { cwd?: string, secondsAllowed?: number }) => Promise<Ended>

const { run }: { run: Run } = await import(new URL('../../.scripts/set-up/run.mjs', import.meta.url).href)

const node = (script: string, secondsAllowed?: number): Promise<Ended> => run(process.execPath, ['-e', script], { secondsAllowed })

describe('running a program', () => {
  test('gives its exit code and what it said on both streams', async () => {
    const { code, output } = await node('console.log("out"); console.error("err"); process.exitCode = 3')
    expect(code).toBe(3)
    expect(output).toContain('out')
    expect(output).toContain('err')
  })

  test('a program that is not there is an answer, not an exception', async () => {
    const { code, output } = await run('no-such-program-here', [])
    expect(code).toBe(127)
    expect(output).toContain('no-such-program-here')
  })

  test('a program that does not end is ended, and so are those it started', async () => {
    const { code, output, timeIsUp } = await node(`
      const { spawn } = require('node:child_process')
      const child = spawn(process.execPath, ['-e', 'setInterval(() => {}, 1000)'], { stdio: 'ignore' })
      console.log('child ' + child.pid)
      setInterval(() => {}, 1000)`, 2)
    expect(timeIsUp).toBe(true)
    expect(code).toBe(124)
    const child = Number(/child (\d+)/.exec(output)?.[1])
    await expect.poll(() => isAlive(child), { timeout: 5000 }).toBe(false)
  })
})

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0)
    return true
  } catch {
    return false
  }
}
