import type { Machine } from '../../../shared/machine.ts'
import type { Problem } from '../../../shared/problem.ts'
import type { Setup } from '../../../shared/setup.ts'

/** What sheet and machine say against each other: offsets for axes the machine has not, a clearance for a head it does not show. */
export function matchMachine(setup: Setup, machine: Machine): Problem[] {
  const problems: Problem[] = []
  const letters = machine.axes.map(axis => axis.letter)
  for (const [code, values] of Object.entries(setup.offsets)) {
    for (const letter of Object.keys(values)) {
      if (letters.includes(letter)) continue
      problems.push({
        rule: 'setup-error',
        file: setup.path,
        span: setup.spans[`offsets.${code}.${letter}`] ?? { start: 0, end: 0 },
        message: `${code} gives a value for axis ${letter}, but the machine (${machine.name}) has only ${letters.join(', ')}; leave it out, or name the right machine file.`,
      })
    }
  }
  const hasHead = machine.bodies?.some(body => machine.head.includes(body.on)) === true
  const unused = hasHead ? [] : Object.entries(setup.spans).filter(([name]) => /^(passes\.\d+\.)?limits\.clearance\.head$/.test(name))
  for (const [, span] of unused) {
    problems.push({ rule: 'not-checked', level: 'note', file: setup.path, span, message: 'The machine file gives no body on the head: this clearance changes nothing.' })
  }
  return problems
}
