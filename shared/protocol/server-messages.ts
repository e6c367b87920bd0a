import type { Component, Point } from '../finding.ts'
import type { SetupAnswers, SetupQuestion } from '../setup-questions.ts'
import type { ResultAnswer } from './result-messages.ts'
import type { OtherVersion, SceneDescription } from './scene-messages.ts'

// Our own requests and notifications between language client and server, names and types.
// Lines are 0-based as in the editor's protocol; lengths mm and directions in the part frame.
//
// Large arrays do not travel as JSON numbers. The server keeps them as packed little-endian
// buffers under a key, and the reader fetches them in base64 slices of at most SLICE_BYTES. Why not
// a temporary file: nothing has to be cleaned up after a crash, any LSP transport will do, and
// between two slices the connection is free for hovers and edits. A million triangles are twelve
// slices. Why not one message: it would hold the connection for the whole 48 MB of text.

/** Largest slice of one answer. A multiple of 12: base64 ends without padding and no number is cut. */
export const SLICE_BYTES = 3 * 1024 * 1024

export interface ServerRequests {
  /** Everything the viewer shows of a program except the large arrays, which it names by key. */
  readonly 'toolwake/scene': { readonly params: SceneParams, readonly result: SceneDescription }
  /** One slice of a large array. */
  readonly 'toolwake/sceneBuffer': { readonly params: SceneBufferParams, readonly result: SceneBufferSlice }
  /** What differs in motion between another version of the program and its text as it stands now. */
  readonly 'toolwake/otherVersion': { readonly params: OtherVersionParams, readonly result: OtherVersion }
  /** Where the tool stands at the end of a line's block. */
  readonly 'toolwake/poseAt': { readonly params: PoseAtParams, readonly result: PoseAnswer }
  /** The surface of the stock as it stands after a line's block. */
  readonly 'toolwake/stockAt': { readonly params: PoseAtParams, readonly result: StockAnswer }
  /** What the program leaves of the part, once it has been measured; its large arrays are fetched like those of the scene. */
  readonly 'toolwake/result': { readonly params: SceneParams, readonly result: ResultAnswer }
  /** The page of a rule, as Markdown. */
  readonly 'toolwake/rulePage': { readonly params: { readonly rule: string }, readonly result: { readonly markdown?: string } }
  /** The comment that accepts the findings of a rule on a line, as an insertion into the program. */
  readonly 'toolwake/acceptance': { readonly params: AcceptanceParams, readonly result: AcceptanceAnswer }
  /** Where the user looks, 0-based: the next search begins there. */
  readonly 'toolwake/lookAt': { readonly params: PoseAtParams, readonly result: Record<string, never> }
  /** Removes the results that were kept for later sessions; bytes they took. */
  readonly 'toolwake/clearKept': { readonly params: Record<string, never>, readonly result: { readonly folder: string, readonly files: number, readonly bytes: number } }
  /** Which sheet the program is checked with; absent: none, the program is read as text. `serving`: those that would serve it if no setting named one. */
  readonly 'toolwake/setupSheet': { readonly params: SceneParams, readonly result: { readonly path?: string, readonly serving: readonly string[] } }
  /** What is asked before a setup sheet is started from the program as it stands. */
  readonly 'toolwake/setupQuestions': { readonly params: SceneParams, readonly result: { readonly questions: readonly SetupQuestion[] } }
  /** A setup sheet started from the program as it stands, the numbers of the tools it has entries for, and how many questions are left open. */
  readonly 'toolwake/draftSetup': { readonly params: SceneParams & { readonly answers?: SetupAnswers }, readonly result: { readonly text: string, readonly tools: readonly number[], readonly open: number } }
  /** Blanks and letters of a program put in order; no motion changes. */
  readonly 'toolwake/tidy': { readonly params: SceneParams, readonly result: RewriteAnswer }
  /** New sequence numbers for a program; jumps and the sheet's passes follow, no motion changes. */
  readonly 'toolwake/renumber': { readonly params: RenumberParams, readonly result: RewriteAnswer }
  /** What would mend a finding, worked out and proven; nothing is changed. */
  readonly 'toolwake/mend': { readonly params: MendParams, readonly result: MendAnswer }
  /** How the blocks of the lines [first, last] stand against their limits. */
  readonly 'toolwake/clearanceMarks': { readonly params: ClearanceMarksParams, readonly result: ClearanceMarksAnswer }
  /** What the open program changes against another file, as Markdown. */
  readonly 'toolwake/compare': { readonly params: CompareParams, readonly result: { readonly markdown: string } }
  /** Writes the release record of a program as it lies on the disk; says in a sentence what is in it. */
  readonly 'toolwake/writeRecord': { readonly params: RecordParams, readonly result: { readonly sentence: string } }
  /** Consent to read a file outside the open folders while these are not trusted; without a path: to read them all, as the folders are trusted now. */
  readonly 'toolwake/allowFile': { readonly params: { readonly path?: string }, readonly result: Record<never, never> }
  /** Forgets every file that was read and checks all open programs anew. */
  readonly 'toolwake/checkAgain': { readonly params: Record<never, never>, readonly result: Record<never, never> }
}

export interface ServerEvents {
  /** How far the work on a program is. */
  readonly 'toolwake/status': Status
  /** How far a comparison of this program is, 0..1. */
  readonly 'toolwake/compareProgress': { readonly uri: string, readonly share: number }
  /** How far a release record of this program is, 0..1. */
  readonly 'toolwake/recordProgress': { readonly uri: string, readonly share: number }
  /** How far a rewriting of this program is, 0..1. */
  readonly 'toolwake/rewriteProgress': { readonly uri: string, readonly share: number }
  /** How far a mend of this program is, 0..1. */
  readonly 'toolwake/mendProgress': { readonly uri: string, readonly share: number }
  /** `toolwake/scene` would now answer something else: program, findings, sheet or mesh have changed. */
  readonly 'toolwake/sceneChanged': { readonly uri: string }
}

export interface CompareParams {
  /** The document of the new program. */
  readonly uri: string
  /** Path of the old one. */
  readonly old: string
}

export interface RecordParams {
  readonly uri: string
  /** Path of the page to write. */
  readonly output: string
}

export interface SceneParams {
  /** The program's document. */
  readonly uri: string
}

export interface OtherVersionParams {
  readonly uri: string
  /** The other version's whole text, and what people call it. */
  readonly text: string
  readonly name: string
  /** Where it is this text as a mend would have it: what the mend does, in words. */
  readonly mend?: string
}

export interface SceneBufferParams {
  readonly uri: string
  /** As the scene names it. */
  readonly key: string
  /** First byte wanted. */
  readonly offset: number
  /** Key of the array that the reader has in its place, if any: what both have in common need not travel. */
  readonly base?: string
}

/** What an array has in common with the one before it. */
export interface SameBytes {
  /** So many bytes at the start, and at the end. */
  readonly head: number
  readonly tail: number
  /** Other than 0: the whole numbers (Uint32) at the end are those of before with this added. */
  readonly shift: number
}

/**
 * `gone`: the buffer has been replaced since; ask for the scene again. With `same` the bytes are those from the offset or the
 * end of the common start on, whichever is later, and none of the common end is among them.
 */
export type SceneBufferSlice =
  | { readonly base64: string, readonly totalBytes: number, readonly same?: SameBytes }
  | { readonly gone: true }

export interface PoseAtParams {
  readonly uri: string
  readonly line: number
}

export interface PoseAnswer {
  readonly line: number
  /** The line's text without its end. */
  readonly text: string
  /** Absent where the program has not yet set a position, or the machine's start is unknown. */
  readonly pose?: {
    readonly point: Point
    /** Unit vector, tip to spindle. */
    readonly axis: Point
    /** Rotary words of the pose as shown to the user: letter and degrees. */
    readonly rotary: readonly { readonly letter: string, readonly degrees: number }[]
  }
  /** Index into the scene's tools; absent: none in the spindle, or not in the sheet. */
  readonly tool?: number
  /** Number of the tool in the spindle as programmed, also where the sheet does not know it. */
  readonly toolNumber?: number
  readonly rapid?: boolean
  /** Smallest signed distance of each component to the part over the block; negative: penetration. */
  readonly clearances?: readonly {
    readonly component: Component
    readonly value: number
    readonly bound: number
    /** Only known to be farther than `value`. */
    readonly beyond?: boolean
  }[]
}

export interface RenumberParams {
  readonly uri: string
  /** Number of the first block, and how far each is behind the one before. */
  readonly start: number
  readonly step: number
  /** Whether blocks without a number get one. */
  readonly every: boolean
}

/** A replacement from (line, from) to (lastLine, to) in one of the documents. */
export interface RewriteEdit {
  readonly uri: string
  readonly line: number
  readonly from: number
  readonly lastLine: number
  readonly to: number
  readonly text: string
}

export interface RewriteAnswer {
  /** Version of the program's document that the edits were made for. */
  readonly version: number
  readonly edits: readonly RewriteEdit[]
  /** Why nothing is changed, as a sentence. */
  readonly refused?: string
}

export interface MendParams {
  readonly uri: string
  /** The finding's rule, and the line it begins in. */
  readonly rule: string
  readonly line: number
}

export type MendAnswer =
  | {
    /** The document that is changed: the program, or the setup sheet where only a longer stick-out helps. */
    readonly document: string
    /** Version of the document that the edits were made for; absent: as it lies on the disk. */
    readonly version?: number
    readonly edits: readonly RewriteEdit[]
    /** The whole text with the edits made. */
    readonly text: string
    /** What is done, with its amounts. */
    readonly label: string
    /** The figures after it, proven, and what the proof does not reach. */
    readonly description: string
  }
  /** Why there is no mend, as a sentence. */
  | { readonly refused: string }

export interface ClearanceMarksParams {
  readonly uri: string
  readonly first: number
  readonly last: number
}

export interface ClearanceMarksAnswer {
  /** Version of the document that was read. */
  readonly version: number
  /** Lines that move the tool, in order; empty where nothing is searched. */
  readonly marks: readonly { readonly line: number, readonly mark: ClearanceMark }[]
}

/**
 * How a block stands against its limits. `broken`: a limit is proven not to be kept. `open`: the bounds cannot decide.
 * `near`: kept, and neck, shank or holder come within twice what they must keep. `kept`: kept. `unknown`: not searched.
 */
export type ClearanceMark = 'broken' | 'open' | 'near' | 'kept' | 'unknown'

/** Empty where the sheet gives no stock, or the program has not been followed through it to its end yet. */
export interface StockAnswer {
  readonly triangles?: number
  /** Buffer: Float32Array, 9 numbers a triangle, counter-clockwise from outside, part frame. The key changes with the contents. */
  readonly positions?: string
}

export interface AcceptanceParams {
  readonly uri: string
  readonly rule: string
  /** Line of the finding. */
  readonly line: number
  /** The reviewer's words. */
  readonly reason: string
}

export interface AcceptanceAnswer {
  /** Version of the document the edit was made for. */
  readonly version: number
  /** Where the text goes in; the text brings its own line end. */
  readonly line: number
  readonly character: number
  readonly text: string
}

export interface Status {
  readonly uri: string
  readonly phase: 'reading' | 'searching' | 'done' | 'failed'
  /** Blocks looked at so far, of how many; both 0 while that is not known. */
  readonly done: number
  readonly total: number
  /** One sentence for people. */
  readonly message: string
  /** Path of the sheet it is checked with; absent: none, or not looked for yet. */
  readonly sheet?: string
}
