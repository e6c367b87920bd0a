import { rmSync } from 'node:fs'
import { join } from 'node:path'
import { defineConfig } from 'vitest/config'

// Results that checks keep go into a folder of the tests' own, empty at the start of each run.
const cache = join(import.meta.dirname, '.cache/kept-by-tests')
rmSync(cache, { recursive: true, force: true })

export default defineConfig({
  test: {
    environment: 'node',
    env: { XDG_CACHE_HOME: cache },
    include: ['tests/**/*.test.ts'],
    // Benchmarks and the tests that need an editor have their own runs.
    exclude: ['tests/bench/**', 'tests/editor/**', 'tests/host/**', '**/node_modules/**'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 120_000,
    hookTimeout: 60_000,
    // What is waited for in a browser comes late on a busy machine.
    expect: { poll: { timeout: 30_000 } },
  },
})
