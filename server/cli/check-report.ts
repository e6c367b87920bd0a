import type { Finding, Level } from '../../shared/finding.ts'
import type { Fix } from '../engine/editor-service.ts'
import type { BaselineState, CheckResult } from '../engine/service.ts'
import type { Region, TextLines } from './text-lines.ts'

// What the two printed forms are made from: plain data, the same for both.

/** A file that took part in the check, as it lay on the disk. */
export interface InputFile {
  readonly role: 'program' | 'called' | 'setup' | 'machine' | 'mesh' | 'earlier'
  readonly path: string
  /** Of the bytes of the file, hexadecimal. */
  readonly sha256: string
  /** Bytes. */
  readonly length: number
}

export type RuleGroup = 'text' | 'state' | 'motion' | 'contact' | 'result' | 'inputs'

/** What a rule's page says, for readers of the findings. */
export interface RuleWords {
  readonly id: string
  readonly level: Level
  readonly group: RuleGroup
  readonly what: string
  readonly why: string
  readonly instead: string
  /** The whole page, Markdown. */
  readonly page: string
}

/** What is left of a checked program when its findings have been taken out: the figures that are printed. */
export type CheckFigures = Omit<CheckResult, 'program' | 'findings'>

/** A finding that was known before and is not found any more, as far as it was kept. */
export interface AbsentFinding {
  readonly rule: string
  readonly level: Level
  readonly open: boolean
  readonly message: string
  readonly fingerprint: string
  /** As SARIF writes them; no region where the finding was about a whole file. */
  readonly uri: string
  readonly region?: Region
}

/** How the findings of a program stand to those known before. */
export interface AgainstBaseline {
  readonly stateOf: ReadonlyMap<Finding, BaselineState>
  /** Known ones that have become graver: they count like new ones. */
  readonly worse: ReadonlySet<Finding>
  readonly absent: readonly AbsentFinding[]
}

export interface CheckedProgram {
  /** As the user wrote it. */
  readonly name: string
  /** Absolute; `-` for standard input. */
  readonly path: string
  readonly lines: TextLines
  /** Absent when nothing about the program could be checked. */
  readonly result?: CheckFigures
  /** Those to be shown: after `--only` and `--blocks`. */
  readonly findings: readonly Finding[]
  /** Sure ways to mend findings in the text; only where the form that is written has a place for them. */
  readonly fixes?: ReadonlyMap<Finding, Fix>
  /** How many findings of which rules `--only` and `--blocks` left out. */
  readonly leftOut: ReadonlyMap<string, number>
  readonly inputs: readonly InputFile[]
  /** Present in every program of a report or in none. */
  readonly baseline?: AgainstBaseline
}

export interface CheckReport {
  readonly version: string
  readonly programs: readonly CheckedProgram[]
  readonly rules: readonly RuleWords[]
  /** Files that findings point into, other than the programs; undefined where there is no text to show. */
  readonly textOf: (path: string) => TextLines | undefined
  /** A path as the reader should see it. */
  readonly shownPath: (path: string) => string
  readonly failOn: Level
  readonly only: readonly string[]
  /** `--blocks` as written. */
  readonly blocks?: string
  readonly exitCode: number
  /** What of the call's programs was left to others or not looked at, in sentences. */
  readonly selection?: readonly string[]
  /** What an edit has changed, for `properties.toolwake.comparison`. */
  readonly comparison?: object
  /** What a mend has changed, for `properties.toolwake.mend`. */
  readonly mend?: object
}

/** Whether a finding counts where the call is to fail: one that was known before does not, unless it has become graver. */
export function countsAgainst({ baseline }: Pick<CheckedProgram, 'baseline'>, finding: Finding): boolean {
  if (finding.waiver !== undefined) return false
  return baseline === undefined || baseline.stateOf.get(finding) === 'new' || baseline.worse.has(finding)
}

/** Text in which a finding's span lies; undefined where there is none. */
export function linesOfFinding(report: Pick<CheckReport, 'textOf'>, program: Pick<CheckedProgram, 'path' | 'lines'>, finding: { readonly file?: string }): TextLines | undefined {
  return finding.file === undefined || finding.file === program.path ? program.lines : report.textOf(finding.file)
}
