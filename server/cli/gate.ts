import { resolve } from 'node:path'
import { changedSince, isConcerned } from '../edge/changed-files.ts'
import { findPrograms } from '../edge/find-programs.ts'
import type { CheckOptions } from './arguments.ts'
import { againstBaseline, baselineOf, type Baseline } from './baseline.ts'
import type { CheckedProgram, CheckReport } from './check-report.ts'
import { fingerprints } from './fingerprint.ts'
import { namedSheet } from './named-sheet.ts'
import { uriOf } from './sarif-artifacts.ts'
import { readSarif } from './sarif-log.ts'

// What turns a check into a gate: which of many programs are looked at, and what was known before.

export interface Selection {
  /** Names to check, as the reader is to see them. */
  readonly programs: readonly string[]
  /** What of the call's programs is left to others, in sentences. */
  readonly leftOut: readonly string[]
}

/** Folders and patterns spread out, then this shard's share, then what has changed. A sentence where the call does not fit. */
export async function selectPrograms(options: CheckOptions, folder: string): Promise<Selection | string> {
  const all = findPrograms(options.programs, folder)
  if (typeof all === 'string') return all
  if (all.length > 1 && options.blocks !== undefined) return `--blocks is about one program; ${all.length} are named.`
  const leftOut: string[] = []
  const { shard, changedSince: revision } = options
  const mine = shard === undefined ? all : all.filter((_, i) => i % shard.of === shard.number - 1)
  if (shard !== undefined) leftOut.push(`Shard ${shard.number} of ${shard.of}: ${mine.length} of ${all.length} programs.`)
  if (revision === undefined) return { programs: mine, leftOut }
  const changed = await changedSince(revision, folder)
  if (typeof changed === 'string') return changed
  const concerned = mine.filter(name => name === '-' || isConcerned(resolve(folder, name), changed, namedSheet(options, folder, name), [folder]))
  leftOut.push(`Changed since ${revision}, or with a sheet, machine file, mesh or called program that has: ${concerned.length} of ${mine.length} programs; the others were not looked at.`)
  return { programs: concerned, leftOut }
}

/** The baseline named, or a sentence where it cannot be used. */
export async function readBaseline(file: string, folder: string): Promise<Baseline | string> {
  const log = await readSarif(resolve(folder, file), file)
  return typeof log === 'string' ? `--baseline: ${log}` : baselineOf(log)
}

/** Every program with its findings held against the baseline. */
export function withBaseline(programs: readonly CheckedProgram[], baseline: Baseline, report: Pick<CheckReport, 'textOf' | 'shownPath' | 'only'>): CheckedProgram[] {
  return programs.map(program => {
    const uri = program.path === '-' ? 'stdin' : uriOf(report.shownPath(program.path))
    const whole = report.only.length === 0 && program.result !== undefined
    return { ...program, baseline: againstBaseline(baseline, uri, fingerprints(report, program), whole) }
  })
}
