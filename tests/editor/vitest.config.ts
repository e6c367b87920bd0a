// The tests that look at the editor from outside, in a browser.
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

export default defineConfig({
  root: fileURLToPath(new URL('../..', import.meta.url)),
  test: {
    environment: 'node',
    include: ['tests/editor/outside/**/*.test.ts'],
    pool: 'forks',
    // Each file starts an editor and a browser of its own; together they would starve each other on a small machine.
    fileParallelism: false,
    testTimeout: 180_000,
    hookTimeout: 150_000,
    // What is waited for in a browser comes late on a busy machine.
    expect: { poll: { timeout: 30_000 } },
  },
})
