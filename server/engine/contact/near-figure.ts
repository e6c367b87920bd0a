import type { Component, Point } from '../../../shared/finding.ts'

/** What can be touched besides the part: the sheet's fixtures, barriers and stock, the machine's bodies. */
export type ObstacleKind = 'part' | 'stock' | 'fixture' | 'barrier' | 'body'

/** One obstacle: `index` counts the sheet's fixtures or barriers or the machine's bodies; 0 where there is only one. */
export interface ObstacleName {
  readonly kind: ObstacleKind
  readonly index: number
}

/**
 * The figure of one motion where something comes nearer to an obstacle than it may, or cannot be
 * proven not to. Where it stays farther than it must, there is no figure: most motions have none.
 */
export interface NearFigure {
  readonly motion: number
  /** A component of the tool, or the index of a machine body. */
  readonly who: Component | number
  readonly against: ObstacleName
  /** As attained and as proven, mm; negative: penetration. */
  readonly value: number
  readonly certified: number
  /** Time of the worst moment in the motion, 0..1. */
  readonly time: number
  /** The point of the obstacle's mesh there; part frame, mm. */
  readonly point: Point
  /** Only against stock that is being cut. */
  readonly inStock?: InStock
}

/** What decides the verdict on a figure against the stock as it stands at the motion. */
export interface InStock {
  /** Distance of the touched place from the tool's axis, mm. */
  readonly radius: number
  /** A rapid that begins where the cut before it ended. */
  readonly leaves: boolean
}

/** Motions count alike whoever searched them: by motion, then in a fixed order of the parties. */
export function inOrder(figures: readonly NearFigure[]): NearFigure[] {
  return [...figures].sort((a, b) => a.motion - b.motion
    || compare(a.against.kind, b.against.kind) || a.against.index - b.against.index || compare(String(a.who), String(b.who)))
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
