import type { Level } from '../../shared/finding.ts'
import type { HintChoice } from '../engine/editor-service.ts'

/** What the user chose for the programs of one folder. Names and defaults are those of package.json. */
export interface Settings {
  readonly search: 'while-typing' | 'on-save' | 'off'
  /** Proven width of every depth and clearance, mm. */
  readonly epsilon: number
  /** Threads of the contact search; 0: as many as suit the computer. */
  readonly threads: number
  /** MB that meshes may take; 0: as many as there are. */
  readonly memoryLimit: number
  /** MB on the disk for results kept between sessions; 0: nothing is kept. */
  readonly keptResults: number
  /** Level by rule id where it differs from the rule's own. */
  readonly rules: Readonly<Record<string, Level | 'off'>>
  /** Path of the sheet to use; empty: the one found. */
  readonly setupSheet: string
  /** Sheets chosen for single programs; both paths from the folder of the workspace on, with forward slashes. */
  readonly setupSheets: Readonly<Record<string, string>>
  /** What is shown between the words. */
  readonly hints: HintChoice
  /** Whether a line above each tool call says what is known of its work. */
  readonly toolSummary: boolean
}

export const defaultSettings: Settings = {
  search: 'while-typing', epsilon: 0.002, threads: 0, memoryLimit: 0, keptResults: 1024, rules: {}, setupSheet: '', setupSheets: {},
  hints: { modes: false, values: false, clearances: false }, toolSummary: true,
}

/** The section `toolwake` of a client's configuration; what it lacks or misspells keeps its default. */
export function readSettings(raw: unknown): Settings {
  const section = recordOf(raw)
  const contact = recordOf(section.contact), hints = recordOf(section.hints)
  const rules: Record<string, Level | 'off'> = {}
  for (const [rule, level] of Object.entries(recordOf(section.rules))) {
    if (level === 'error' || level === 'warning' || level === 'note' || level === 'off') rules[rule] = level
  }
  return {
    search: contact.search === 'on-save' || contact.search === 'off' ? contact.search : defaultSettings.search,
    epsilon: isNumber(contact.epsilon) ? Math.min(1, Math.max(0.0001, contact.epsilon)) : defaultSettings.epsilon,
    threads: isNumber(contact.threads) ? Math.min(64, Math.max(0, Math.floor(contact.threads))) : defaultSettings.threads,
    memoryLimit: isNumber(section.memoryLimit) ? Math.max(0, Math.floor(section.memoryLimit)) : defaultSettings.memoryLimit,
    keptResults: isNumber(section.keptResults) ? Math.max(0, Math.floor(section.keptResults)) : defaultSettings.keptResults,
    rules,
    hints: { modes: hints.modes === true, values: hints.values === true, clearances: hints.clearances === true },
    toolSummary: typeof section.toolSummary === 'boolean' ? section.toolSummary : defaultSettings.toolSummary,
    setupSheet: typeof section.setupSheet === 'string' ? section.setupSheet : defaultSettings.setupSheet,
    setupSheets: Object.fromEntries(Object.entries(recordOf(section.setupSheets)).filter((entry): entry is [string, string] => typeof entry[1] === 'string' && entry[1] !== '')),
  }
}

/** Settings by document, asked of the client once and kept until it says they have changed. */
export class SettingsStore {
  readonly #ask: (uri: string) => Promise<unknown>
  readonly #kept = new Map<string, Promise<Settings>>()

  constructor(ask: (uri: string) => Promise<unknown>) {
    this.#ask = ask
  }

  of(uri: string): Promise<Settings> {
    const kept = this.#kept.get(uri)
    if (kept !== undefined) return kept
    // A client that cannot answer gets the defaults: no program goes unchecked for that.
    const asked = this.#ask(uri).then(readSettings, () => defaultSettings)
    this.#kept.set(uri, asked)
    return asked
  }

  forget(uri?: string): void {
    if (uri === undefined) this.#kept.clear()
    else this.#kept.delete(uri)
  }
}

function recordOf(value: unknown): Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null ? value as Readonly<Record<string, unknown>> : {}
}

function isNumber(value: unknown): value is number {
  return typeof value === 'number' && Number.isFinite(value)
}
