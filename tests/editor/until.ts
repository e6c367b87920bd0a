/** What was waited for did not come. */
export class OutOfPatience extends Error {}

/** Asks again and again until there is an answer, and gives up with a sentence that says what was waited for. */
export async function until<T>(what: string, ask: () => T | undefined | Promise<T | undefined>, secondsAllowed = 60): Promise<T> {
  const start = performance.now()
  for (;;) {
    const answer = await ask()
    if (answer !== undefined) return answer
    if (performance.now() - start > secondsAllowed * 1000) throw new OutOfPatience(`Waited ${secondsAllowed} s for ${what}.`)
    await new Promise(resolved => setTimeout(resolved, 25))
  }
}
