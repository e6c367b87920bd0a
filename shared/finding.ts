import type { Span } from './span.ts'

export type Level = 'error' | 'warning' | 'note'

/** From mild to grave, so that levels can be compared by their place in the list. */
export const levels: readonly Level[] = ['note', 'warning', 'error']

/** The parts of the assembly that turn with the spindle, from the tip upward. */
export type Component = 'cutter' | 'neck' | 'shank' | 'holder'

export const components: readonly Component[] = ['cutter', 'neck', 'shank', 'holder']

export type Point = readonly [number, number, number]

/** The figures of a contact finding: mm, part frame. Names are those of the SARIF properties. */
export interface ContactProperties {
  readonly component: string
  /** `part`, `stock`, `fixture:NAME`, `barrier:NAME` or `machine:NAME`. */
  readonly against: string
  /** Deepest penetration, positive; present when the component touches. */
  readonly depth?: number
  /** Smallest gap; present when it does not touch. */
  readonly clearance?: number
  /** Half-width of the proven interval about that figure. */
  readonly bound: number
  /** The limit it was held against. */
  readonly allowed: number
  /** Where on the mesh. */
  readonly point: Point
  readonly toolPoint: Point
  readonly toolAxis: Point
  /** 1-based lines of the program. */
  readonly firstLine: number
  readonly lastLine: number
  readonly worstLine: number
  /** How many blocks the one cause spans. */
  readonly blocks: number
}

/** The figures of a finding about what is left on the part: mm and mm², part frame. Names are those of the SARIF properties. */
export interface ResultProperties {
  /** Where on the mesh: of the tallest material, or in the middle of what no pass comes near. */
  readonly point: Point
  /** Height of the material over the mesh, along its normal; absent where no pass comes near and no stock is stated. */
  readonly height?: number
  /** Half-width of the proven interval about that height. */
  readonly bound?: number
  /** Surface of the mesh it is about. */
  readonly area: number
  /** Height that may stand. */
  readonly allowed: number
  /** Surface of more such places that are not told singly, where this is the first of its kind. */
  readonly besides?: number
}

/** The blocks of a finding about motions that have one cause. */
export interface MotionExtent {
  /** 1-based lines of the program. */
  readonly firstLine: number
  readonly lastLine: number
  /** How far the worst of them goes, in the measure of its rule; greater is worse. */
  readonly figure: number
}

/** A second place that explains a finding: a call site, the limit in the setup sheet. */
export interface Related {
  /** Path of the file; the program itself when absent. */
  readonly file?: string
  readonly span: Span
  readonly message: string
}

/** A replacement of text in the file of the finding. */
export interface Edit {
  readonly span: Span
  readonly text: string
}

/** One thing the tool has to say, as plain data. */
export interface Finding {
  /** The rule's id; see the rule pages. */
  readonly rule: string
  readonly level: Level
  /** What is wrong, with the actual figures. A sentence a machinist understands. */
  readonly message: string
  /** Path of the file the span lies in; the program itself when absent. */
  readonly file?: string
  /** The smallest place that is wrong. */
  readonly span: Span
  readonly related?: readonly Related[]
  readonly contact?: ContactProperties
  readonly result?: ResultProperties
  readonly extent?: MotionExtent
  /** True when the proven bounds cannot decide. */
  readonly open?: boolean
  /** Set when a reviewer's comment in the program covers this finding. */
  readonly waiver?: { readonly reason: string, readonly span: Span }
}
