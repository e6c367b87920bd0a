import { dirname, relative, resolve, sep } from 'node:path'
import type { Finding } from '../../shared/finding.ts'
import { severalSetups } from '../engine/service.ts'
import { findSetup } from './find-setup.ts'

/** The sheet that a program is checked with, and how it came to it. */
export interface SetupChoice {
  /** Undefined: none belongs to it. */
  readonly setupPath?: string
  /** Sheets that would have served as well where this one was only found; none where somebody has named it. */
  readonly otherSetups?: readonly string[]
}

/** The sheet somebody has named, else the one that is found. `roots`: folders that bound the search. */
export function chooseSetup(programPath: string, named: string | undefined, roots?: readonly string[]): SetupChoice {
  if (named !== undefined) return { setupPath: named }
  const found = findSetup(programPath, roots)
  return found === undefined ? {} : { setupPath: found.path, otherSetups: found.others }
}

/** The sheet of both programs: the one that is named, else one beside the new program, else beside the old one. `roots`: folders that bound the search. */
export function chooseForBoth(old: string, now: string, named: string | undefined, roots?: readonly string[]): SetupChoice {
  if (named !== undefined) return { setupPath: resolve(named) }
  const ofNew = chooseSetup(now, undefined, roots)
  return ofNew.setupPath === undefined ? chooseSetup(old, undefined, roots) : ofNew
}

/** What there is to say about a choice that nobody has made. */
export function choiceFindings(programPath: string, { setupPath, otherSetups = [] }: SetupChoice): Finding[] {
  if (setupPath === undefined) return []
  const fromProgram = (sheet: string) => relative(dirname(resolve(programPath)), resolve(sheet)).split(sep).join('/')
  return severalSetups(fromProgram(setupPath), otherSetups.map(fromProgram))
}
