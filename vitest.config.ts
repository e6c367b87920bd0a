import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    environment: 'node',
    include: ['tests/**/*.test.ts'],
    // Benchmarks and the tests that need an editor have their own runs.
    exclude: ['tests/bench/**', 'tests/editor/**', 'tests/host/**', '**/node_modules/**'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 60_000,
  },
})
