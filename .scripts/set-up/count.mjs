// Adds up what a test runner wrote. What it did not write, or what it left out, is a failure.
import { existsSync, readFileSync } from 'node:fs'

export function countVitest(file, code) {
  if (!existsSync(file)) return crashed(code)
  const { numPassedTests: passed, numTotalTests, testResults } = JSON.parse(readFileSync(file, 'utf8'))
  const remarks = []
  let failed = numTotalTests - passed
  for (const { name, status, assertionResults } of testResults) {
    // A file that could not be loaded has no tests to fail.
    if (status === 'failed' && assertionResults.length === 0) failed += 1
    for (const test of assertionResults) {
      if (test.status !== 'passed' && test.status !== 'failed') remarks.push(`Not run, so counted as failed: ${test.fullName} (${name})`)
    }
  }
  return withExit({ passed, failed, remarks }, code)
}

export function countSuite(file, code) {
  if (!existsSync(file)) return crashed(code)
  const { passed, failed, pending, finished } = JSON.parse(readFileSync(file, 'utf8'))
  const remarks = pending.map(name => `Not run, so counted as failed: ${name}`)
  if (!finished) remarks.push(`The editor ended with code ${code} before the last test; counted as one more failure.`)
  return withExit({ passed: passed.length, failed: failed.length + pending.length + (finished ? 0 : 1), remarks }, code)
}

/** An exit code other than zero that no failed test explains is a failure of its own. */
function withExit({ passed, failed, remarks }, code) {
  if (code === 0 || failed > 0) return { passed, failed, remarks }
  return { passed, failed: 1, remarks: [...remarks, `The runner ended with code ${code} though no test failed.`] }
}

function crashed(code) {
  return { passed: 0, failed: 1, remarks: [`The runner ended with code ${code} and left no result.`] }
}
