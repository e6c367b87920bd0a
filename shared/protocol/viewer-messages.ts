import type { Checks } from './channel.ts'
import type { OtherVersion, SceneDescription } from './scene-messages.ts'
import type { PoseAnswer, SameBytes, Status, StockAnswer } from './server-messages.ts'
import type { ResultAnswer } from './result-messages.ts'

// What host and webview ask and tell each other about one program. The webview speaks first
// (`session/open` with the version it speaks); nothing is told to it before. Lines are 0-based.

/** Raised whenever a message changes its meaning or form. */
export const VIEWER_PROTOCOL = 4

/** What the webview may ask of, and tell, the host. */
export interface HostSide {
  readonly requests: {
    readonly 'session/open': { readonly params: { readonly version: number }, readonly result: Session }
    readonly 'scene/read': { readonly params: undefined, readonly result: SceneDescription }
    /** One slice of a large array of the scene; `base`: key of the one that the page has in its place. */
    readonly 'scene/buffer': { readonly params: { readonly key: string, readonly offset: number, readonly base?: string }, readonly result: BufferSlice }
    readonly 'pose/read': { readonly params: { readonly line: number }, readonly result: PoseAnswer }
    /** The stock as it stands after a line. */
    readonly 'stock/read': { readonly params: { readonly line: number }, readonly result: StockAnswer }
    /** What the program leaves of the part. */
    readonly 'result/read': { readonly params: undefined, readonly result: ResultAnswer }
    /** Lets the user choose another version of the program; none: it is no longer compared, or the user has thought better of it. */
    readonly 'other/choose': { readonly params: undefined, readonly result: { readonly other?: OtherVersion } }
    /** The version that was chosen last, or that a mend would make, held against the text as it stands now. */
    readonly 'other/read': { readonly params: undefined, readonly result: { readonly other?: OtherVersion } }
    /** Keeps a picture in a file that the user chooses; no name: the user has thought better of it. */
    readonly 'picture/keep': { readonly params: { readonly png: Uint8Array }, readonly result: { readonly name?: string } }
  }
  readonly events: {
    /** The user chose a block by its path or its finding: show it in the editor. */
    readonly 'line/chosen': { readonly line: number }
    /** The user wants to read a rule's page. */
    readonly 'rule/chosen': { readonly rule: string }
  }
}

/** What the host may tell the webview. */
export interface ViewerSide {
  readonly requests: Record<never, never>
  readonly events: {
    /** The scene would now be answered differently. */
    readonly 'scene/changed': undefined
    /** The editor's cursor stands on this line. */
    readonly 'line/moved': { readonly line: number }
    readonly 'status/changed': Status
    /** Another version is to be shown beside this one, or none any more: `other/read` gives it. */
    readonly 'other/changed': undefined
  }
}

export interface Session {
  /** File name of the program. */
  readonly program: string
  /** Where the editor's cursor stands. */
  readonly line: number
  readonly status?: Status
  /** Another version is to be shown beside it from the start: `other/read` gives it. */
  readonly isCompared?: boolean
}

export type BufferSlice =
  /** `same`: as in `SceneBufferSlice`. */
  | { readonly bytes: Uint8Array, readonly totalBytes: number, readonly same?: SameBytes }
  | { readonly gone: true }

/** The page is the less trusted side: what it sends is looked at before it is used. */
export const hostChecks: Checks<HostSide> = {
  'session/open': params => isRecord(params) && typeof params.version === 'number',
  'scene/read': params => params === undefined,
  'scene/buffer': params => isRecord(params) && typeof params.key === 'string' && isCount(params.offset) && (params.base === undefined || typeof params.base === 'string'),
  'pose/read': params => isRecord(params) && isCount(params.line),
  'stock/read': params => isRecord(params) && isCount(params.line),
  'result/read': params => params === undefined,
  'other/choose': params => params === undefined,
  'other/read': params => params === undefined,
  'picture/keep': params => isRecord(params) && isPicture(params.png),
  'line/chosen': params => isRecord(params) && isCount(params.line),
  'rule/chosen': params => isRecord(params) && typeof params.rule === 'string' && /^[a-z][a-z0-9-]{0,63}$/.test(params.rule),
}

/** Larger than any screen makes one. */
const LARGEST_PICTURE = 64 * 1024 * 1024

/** The eight bytes that every PNG begins with (ISO/IEC 15948, 5.2). */
const PNG_SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]

function isPicture(value: unknown): boolean {
  return value instanceof Uint8Array && value.byteLength <= LARGEST_PICTURE && PNG_SIGNATURE.every((byte, i) => value[i] === byte)
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null
}

function isCount(value: unknown): value is number {
  return typeof value === 'number' && Number.isSafeInteger(value) && value >= 0
}
