import type { Finding } from '../../shared/finding.ts'
import type { Machine } from '../../shared/machine.ts'
import type { Problem } from '../../shared/problem.ts'
import type { Setup } from '../../shared/setup.ts'
import { toFindings } from './lint/level-findings.ts'
import type { TextFile } from './read-program.ts'
import { builtInMachine } from './setup/built-in-machine.ts'
import { matchMachine } from './setup/match-machine.ts'
import { readMachine } from './setup/read-machine.ts'
import { readSetup } from './setup/read-setup.ts'

/** Setup and machine together: plain data, may be cloned into a worker. */
export interface Scene {
  readonly setup: Setup | undefined
  /** The built-in machine where the sheet names none. */
  readonly machine: Machine
  /** Findings in the sheet and the machine file. */
  readonly findings: readonly Finding[]
  /** False when the sheet or its machine could not be used: motion and contact are then not checked. */
  readonly usable: boolean
}

/** A sheet or machine file the edge could not read, in one sentence. */
export interface InputTrouble {
  readonly of: 'sheet' | 'machine'
  readonly path: string
  readonly message: string
}

const atStart = { start: 0, end: 0 }

/** Reads the sheet and its machine file. Without a sheet the program can still be read as text. */
export function openScene(sheet: TextFile | undefined, machineFile: TextFile | undefined, troubles: readonly InputTrouble[] = []): Scene {
  const problems: Problem[] = troubles
    .filter(trouble => trouble.of === 'sheet')
    .map(({ path, message }) => ({ rule: 'setup-error', file: path, span: atStart, message }))
  if (sheet === undefined) {
    if (troubles.length === 0) {
      problems.push({
        rule: 'setup-not-found',
        span: atStart,
        message: 'No setup sheet belongs to this program: it was read as text, and nothing was simulated. Start one with "toolwake new-setup" and fill it in, or put a sheet *.setup.json beside it whose "programs" name it.',
      })
    }
    return { setup: undefined, machine: builtInMachine, findings: toFindings(problems), usable: false }
  }
  const { setup, problems: ofSheet } = readSetup(sheet)
  problems.push(...ofSheet)
  const { machine, problems: ofMachine } = machineOf(setup, machineFile, troubles)
  problems.push(...ofMachine)
  if (setup !== undefined && machine !== undefined) problems.push(...matchMachine(setup, machine))
  const lacking = setup === undefined ? 'the setup sheet cannot be used'
    : machine === undefined ? 'the machine file cannot be used'
      // Without it nobody knows where the part lies.
      : setup.offsets[setup.baseOffset] === undefined ? `the sheet does not give its base offset ${setup.baseOffset}`
        : undefined
  if (lacking !== undefined) {
    problems.push({ rule: 'not-checked', file: sheet.path, span: atStart, message: `Motion and contact were not checked: ${lacking}.` })
  }
  return { setup, machine: machine ?? builtInMachine, findings: toFindings(problems), usable: lacking === undefined }
}

function machineOf(setup: Setup | undefined, file: TextFile | undefined, troubles: readonly InputTrouble[]): { machine?: Machine, problems: Problem[] } {
  if (setup === undefined) return { problems: [] }
  // The sheet has the key but no name in it, which it has been told: the built-in machine is not what was meant.
  if (setup.machinePath === undefined && setup.spans['machine'] !== undefined) return { problems: [] }
  if (setup.machinePath === undefined) {
    return {
      machine: builtInMachine,
      problems: [{
        rule: 'machine-not-given',
        file: setup.path,
        span: atStart,
        message: `The sheet names no machine: travel, rates and the meaning of the codes are those of the built-in one (${builtInMachine.name}). Name yours with "machine".`,
      }],
    }
  }
  if (file !== undefined) return readMachine(file)
  const why = troubles.find(trouble => trouble.of === 'machine')?.message ?? 'The machine file was not read.'
  return { problems: [{ rule: 'setup-error', file: setup.path, span: setup.spans['machine'] ?? atStart, message: why }] }
}
