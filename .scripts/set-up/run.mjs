// Runs one program to its end: output kept, time bounded, nothing left behind.
import { spawn } from 'node:child_process'

/** Processes that have not ended yet; each leads a group of its own. */
const running = new Set()

/** The exit code of a run that was broken off from outside; undefined as long as nobody has. */
let brokenOff

for (const [signal, code] of [['SIGINT', 130], ['SIGTERM', 143]]) {
  process.once(signal, () => {
    brokenOff = code
    if (running.size === 0) process.exit(code)
    // They get the time to close a browser and a server in order; the last one to end takes this program along.
    for (const child of running) endGroup(child, 'SIGTERM')
    setTimeout(() => process.exit(code), 10_000)
  })
}

/**
 * Resolves with the exit code, the output of both streams as it came, and whether the time was up. Never rejects: a
 * program that cannot be started has an exit code of 127 and the reason as its output.
 */
export function run(command, words, { cwd, env = process.env, secondsAllowed = 600 } = {}) {
  return new Promise(resolved => {
    const child = spawn(command, words, { cwd, env, stdio: ['ignore', 'pipe', 'pipe'], detached: true })
    running.add(child)
    let output = ''
    let timeIsUp = false
    const keep = data => { output += data }
    child.stdout.setEncoding('utf8').on('data', keep)
    child.stderr.setEncoding('utf8').on('data', keep)
    const late = setTimeout(() => {
      timeIsUp = true
      output += `\nNot finished after ${secondsAllowed} s.\n`
      // It ends whether it wants to or not.
      endGroup(child, 'SIGTERM')
      setTimeout(() => endGroup(child, 'SIGKILL'), 10_000).unref()
    }, secondsAllowed * 1000)
    const end = code => {
      clearTimeout(late)
      // What the program started and left behind goes with it; it would also keep the streams open.
      endGroup(child, 'SIGKILL')
      running.delete(child)
      if (brokenOff !== undefined && running.size === 0) process.exit(brokenOff)
      if (brokenOff === undefined) resolved({ code: timeIsUp ? 124 : code, output, timeIsUp })
    }
    child.once('error', failure => {
      output += `${failure.message}\n`
      end(127)
    })
    child.once('exit', (code, signal) => {
      if (signal !== null) output += `\nEnded by ${signal}.\n`
      // The last words may still be in the pipe.
      let ended = false
      const once = () => {
        if (ended) return
        ended = true
        end(code ?? 1)
      }
      child.once('close', once)
      setTimeout(once, 2000).unref()
    })
  })
}

function endGroup(child, signal) {
  if (child.pid === undefined) return
  try {
    process.kill(-child.pid, signal)
  } catch (failure) {
    if (failure.code !== 'ESRCH') throw failure
  }
}
