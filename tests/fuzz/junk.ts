import type { SeededRandom } from '../harness/seeded-random.ts'

/** Any JSON value, seldom deep, sometimes large. */
export function junk(random: SeededRandom, depth = 0): unknown {
  const kind = random.whole(0, depth > 3 ? 6 : 9)
  switch (kind) {
    case 0: return null
    case 1: return random.next() < 0.5
    case 2: return random.pick([0, -1, 1.5, 1e308, -1e308, 2 ** 53, random.whole(-100, 100)])
    case 3: return random.pick(['', 'x', '\0', '\ud800', '__proto__', 'file:///nowhere.nc', 'X1.\n'.repeat(random.whole(0, 2000))])
    case 4: return {}
    case 5: return []
    case 6: return undefined
    case 7: return Array.from({ length: random.whole(0, 5) }, () => junk(random, depth + 1))
    default: return Object.fromEntries(Array.from({ length: random.whole(0, 5) }, () =>
      [random.pick(['uri', 'line', 'text', 'textDocument', 'position', 'range', 'version', 'key', 'offset', 'rule', 'png', 'constructor', 'toString']), junk(random, depth + 1)]))
  }
}

/** The body of a frame that holds no message, or one with a part amiss. */
export function junkMessage(random: SeededRandom): string {
  return random.pick([
    () => '{"jsonrpc":"2.0", this is not JSON',
    () => JSON.stringify(junk(random)) ?? '',
    () => JSON.stringify({ jsonrpc: '2.0', id: junk(random), result: junk(random) }),
    () => JSON.stringify({ jsonrpc: '2.0', id: random.whole(1, 100), error: junk(random) }),
    () => JSON.stringify({ jsonrpc: '1.0', method: junk(random), params: junk(random) }),
    () => '['.repeat(random.whole(1, 100_000)),
  ])()
}
