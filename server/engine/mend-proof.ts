import type { Obstacle } from './contact/obstacle.ts'
import type { Scene } from './open-scene.ts'
import { asksForResult } from './surface-findings.ts'

/** What was looked at again once a mend was made, and what was not, each in words. */
export interface MendProof {
  readonly checked: readonly string[]
  readonly unchecked: readonly string[]
  /** What stands on the part now and did not before: where the sheet's own plan has left it, or wider beside a cut that was too deep. */
  readonly left: readonly string[]
}

/** What was looked at, of what the sheet and the machine file ask for. */
export interface LookedAt {
  readonly obstacles: readonly Pick<Obstacle, 'kind' | 'index'>[]
  /** The program was followed through the stock to its end. */
  readonly stock: boolean
  /** What is left was measured. */
  readonly surface: boolean
}

/** Says of everything that a check can look at whether it was looked at again, and if not, why. */
export function mendProof({ setup, machine }: Scene, { obstacles, stock, surface }: LookedAt, left: readonly string[]): MendProof {
  const checked = ['the text', 'travel and rates', 'contact with the part'], unchecked: string[] = []
  const names = [
    ...(setup?.fixtures ?? []).map(({ name }, index) => ({ kind: 'fixture', index, said: `the fixture "${name}"` })),
    ...(setup?.barriers ?? []).map(({ name }, index) => ({ kind: 'barrier', index, said: `the barrier "${name}"` })),
    ...(machine.bodies ?? []).map(({ name }, index) => ({ kind: 'body', index, said: `the machine's ${name}` })),
  ]
  for (const { kind, index, said } of names) {
    if (obstacles.some(each => each.kind === kind && each.index === index)) checked.push(said)
    else unchecked.push(`${said} (its mesh cannot be used)`)
  }
  if (setup?.fixtures.length === 0) unchecked.push('fixtures (the sheet names none)')
  if ((machine.bodies ?? []).length === 0) unchecked.push('the bodies of the machine (the machine file has none)')
  const say = (isDone: boolean, what: string, isAsked: boolean, unasked: string) => {
    if (isDone) checked.push(what)
    else unchecked.push(`${what} (${isAsked ? 'a fault of ours, or the sheet cannot be used for it' : unasked})`)
  }
  say(stock, 'the stock', setup?.stock !== undefined, 'the sheet states none')
  say(surface, 'what is left on the part', setup !== undefined && asksForResult(setup), 'the sheet states neither leftover nor stock')
  return { checked, unchecked, left }
}
