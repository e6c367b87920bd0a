import { levels, type Finding, type Level } from '../../shared/finding.ts'
import { findingStates, type KnownFinding } from '../engine/service.ts'
import type { AbsentFinding, AgainstBaseline } from './check-report.ts'
import { list, number, part, placeOf, programOf, text, type Json, type SarifRun } from './sarif-log.ts'
import type { Region } from './text-lines.ts'

/** A finding as a baseline keeps it. */
type BaselineFinding = KnownFinding & AbsentFinding

/** Findings known before, by the URI of their program and their fingerprint. */
export type Baseline = ReadonlyMap<string, ReadonlyMap<string, BaselineFinding>>

/** The findings of a log that was written before; those that were gone already then are left out. */
export function baselineOf({ run }: SarifRun): Baseline {
  const programs = new Map<string, Map<string, BaselineFinding>>()
  for (const result of list(run, 'results')) {
    const fingerprint = text(part(result, 'partialFingerprints'), 'block/v1')
    if (fingerprint === undefined || result['baselineState'] === 'absent') continue
    const program = programOf(result)
    const ofProgram = programs.get(program) ?? new Map<string, BaselineFinding>()
    ofProgram.set(fingerprint, knownFinding(result, fingerprint))
    programs.set(program, ofProgram)
  }
  return programs
}

/** Holds the findings of one program against the baseline. `whole`: all its findings are at hand, so that what is not among them is gone. */
export function againstBaseline(baseline: Baseline, program: string, fingerprints: ReadonlyMap<Finding, string>, whole: boolean): AgainstBaseline {
  const { stateOf, worse, absent } = findingStates(fingerprints, baseline.get(program) ?? new Map<string, BaselineFinding>())
  return { stateOf, worse, absent: whole ? absent : [] }
}

function knownFinding(result: Json, fingerprint: string): BaselineFinding {
  const properties = part(result, 'properties'), isOpen = result['kind'] === 'open'
  const level = levelOf(isOpen ? text(properties, 'undecidedLevel') : text(result, 'level'))
  const depth = number(properties, 'depth'), clearance = number(properties, 'clearance'), bound = number(properties, 'bound')
  const place = placeOf(result), region = regionOf(part(place, 'region'))
  return {
    rule: text(result, 'ruleId') ?? '', level, open: isOpen, message: text(part(result, 'message'), 'text') ?? '', fingerprint,
    uri: text(part(place, 'artifactLocation'), 'uri') ?? '',
    ...region === undefined ? {} : { region },
    ...bound === undefined ? {} : { contact: { bound, ...depth === undefined ? {} : { depth }, ...clearance === undefined ? {} : { clearance } } },
  }
}

function levelOf(word: string | undefined): Level {
  return levels.find(level => level === word) ?? 'warning'
}

function regionOf(region: Json): Region | undefined {
  const startLine = number(region, 'startLine'), startColumn = number(region, 'startColumn'), endColumn = number(region, 'endColumn'), endLine = number(region, 'endLine')
  if (startLine === undefined || startColumn === undefined || endColumn === undefined) return undefined
  return { startLine, startColumn, ...endLine === undefined ? {} : { endLine }, endColumn }
}
