import type { Finding } from '../../shared/finding.ts'
import { buildKinematics } from '../../shared/kinematics.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Toolpath } from '../../shared/toolpath.ts'
import { toFindings } from '../../server/engine/lint/level-findings.ts'
import { startRules } from '../../server/engine/lint/run-rules.ts'
import { applyWaivers } from '../../server/engine/lint/waivers.ts'
import { interpret } from '../../server/engine/machine/interpreter.ts'
import { builtInMachine } from '../../server/engine/setup/built-in-machine.ts'
import { readMachine } from '../../server/engine/setup/read-machine.ts'
import { readSetup } from '../../server/engine/setup/read-setup.ts'
import type { RuleExample } from '../../server/engine/lint/rule.ts'
import { compareFindings, readRemarks, type ProgramWithRemarks } from './expectations.ts'

type ExampleInput = Pick<RuleExample, 'program' | 'setup' | 'machine' | 'meshes'>

const setupPath = 'example.setup.json'
const machinePath = 'example.machine.json'

/**
 * Checks a program with its remarks, as a user would have it checked, and answers with what differs
 * in words; empty when findings and remarks agree. `rules`: whose findings count besides those the
 * remarks name; all when absent. Remarks may also stand in the sheet and the machine file.
 */
export function check(input: ExampleInput, rules?: readonly string[]): string {
  const files = filesOf(input)
  const named = [...files.values()].flatMap(file => file.expectations.map(expectation => expectation.rule))
  const findings = runExample(input).findings.filter(({ rule }) => rules === undefined || rules.includes(rule) || named.includes(rule))
  const differences = [...files].map(([path, { program, expectations }]) =>
    compareFindings(program, findings.filter(finding => finding.file === path), expectations))
  const elsewhere = findings.filter(({ file }) => !files.has(file)).map(({ file, level, rule, message }) => `unexpected: ${file}: ${level} ${rule}: ${message}`)
  return [...differences, ...elsewhere].filter(text => text !== '').join('\n')
}

/** The program's motions and everything found on the way. */
export function runExample(input: ExampleInput): { findings: Finding[], toolpath: Toolpath } {
  const files = filesOf(input)
  const textOf = (path: string | undefined) => files.get(path)?.program
  const problems: Problem[] = []
  const take = <T>({ problems: found, ...rest }: { problems: readonly Problem[] } & T) => {
    problems.push(...found)
    return rest
  }
  const sheet = textOf(setupPath), machineText = textOf(machinePath), text = textOf(undefined) ?? ''
  const setup = sheet === undefined ? undefined : take(readSetup({ path: setupPath, text: sheet })).setup
  const machine = (machineText === undefined ? undefined : take(readMachine({ path: machinePath, text: machineText })).machine) ?? builtInMachine
  const base = setup?.offsets[setup.baseOffset] ?? {}
  const kinematics = buildKinematics(machine, machine.axes.map(axis => base[axis.letter] ?? 0))
  const report = (problem: Problem) => void problems.push(problem)
  const rules = startRules(report, { text, setup, machine, kinematics })
  const { toolpath } = interpret(text, { machine, setup, kinematics, report, onBlock: rules.block })
  rules.end?.(toolpath)
  return { findings: applyWaivers(toFindings(problems), text), toolpath }
}

/** The texts by path; the program itself has none. */
function filesOf(input: ExampleInput): Map<string | undefined, ProgramWithRemarks> {
  const files = new Map<string | undefined, ProgramWithRemarks>([[undefined, readRemarks(input.program)]])
  if (input.setup !== undefined) files.set(setupPath, readRemarks(input.setup))
  if (input.machine !== undefined) files.set(machinePath, readRemarks(input.machine))
  return files
}
